/**
 * The constants of the judgment in one place, each with where it comes from. Those in grams stand apart:
 * everything else is a ratio, so that masses, divisions and these scaled by one factor give the same verdict.
 */
export type GramConstants = {
  /** Standard uncertainty from the bench: a warm tray, a draught, a few minutes in room air. */
  readonly bench: number;
  /** Divisions of scales go in steps of 1, 2 and 5 from here. */
  readonly finestDivision: number;
};

/** 0.1 g for the bench: common practice of weighing warm trays, no source. */
export const kitchenGrams: GramConstants = { bench: 0.1, finestDivision: 0.1 };

/** In divisions, where nobody measured them (`placement.ts`): lifting and replacing, and drift between two weighings.
 * Our choice. */
export const repeatabilityDivisions = 0.4;
export const driftDivisions = 0.3;

/** Water taken up on the bench, share of dry mass per minute, with its standard deviation: 0.06 g/min for 150 g
 * dry, range 0.01 to 0.2, from uptake rates of freeze-dried apple (Processes 2024, 12(9), 1932). */
export const uptakePerMinute = { mean: 4e-4, sd: 3e-4 } as const;

/** One-sided 99.5 %: a rise sends people looking, and every later weighing is another chance for a false one. */
export const zRise = 2.5758293035489004;

/** Least probability at which each word is given; `stable` by the public contract, the others our choice. */
export const thresholds = { stable: 0.95, losing: 0.9, stalled: 0.9 } as const;
export const mostCertain = 0.99;

/** Loss rate, share of dry mass per hour, above which a proven loss is `losing` whatever may be left. */
export const rateTolerance = 0.0025;
/** Two weighings closer than this prove nothing: the tray first freezes again and pumps down. */
export const leastHoursApart = 1;

/** A band of dry mass wider than this share of it cannot show a dryer that stopped. Our choice. */
export const tellingBand = 0.35;

/**
 * Chance per drying hour that a dryer stops removing water for good and nobody sees it. The mains: 1.4 interruptions a
 * customer and year in the United States in 2017, major events counted (US EIA, Today in Energy, 30 November 2018; of
 * more than five minutes, IEEE 1366), is 0.00016. The machine itself, its pump, heater, seal or valve: once in 40
 * batches of 30 h is our allowance, no source; it makes up five sixths.
 */
export const stopsPerHour = 1.4 / 8766 + 1 / (40 * 30);

/** Drying hours before the first weighing: thin slices of apple, banana and strawberry took 7 to 12 h at a shelf of
 * 40 °C (Reale, Torrez Irigoyen and Giner 2023, doi 10.7455/ijfs/12.1.2023.a7); earlier, nothing could be told. */
export const firstWeighingHours = 12;
