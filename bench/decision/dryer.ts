/**
 * A tray in a freeze dryer, as truth for scoring rules: ice leaves behind a front that meets more and more
 * resistance from the dried layer; behind it bound water leaves layer by layer. Masses in grams, water in
 * g per g of solids, times in hours of a dryer at full pace.
 *
 * An invention whose ranges are anchored on published drying: thin fruit slices 6.8–12 h at a shelf of
 * 40 °C, with a vapour diffusivity near 1e-9 m²/s in the dried layer (Reale, Torrez Irigoyen, Giner 2023,
 * doi 10.7455/ijfs/12.1.2023.a7), hawthorn slices 14 h (J. Thermal Eng. 9(4) 2023 876), a thick bed of
 * strawberry 60–65 h (J. Food Eng. 32(2) 1997 133). k = π²D/4L² gives 0.73, 0.36 and 0.14 1/h for slabs of
 * 3.5, 5 and 8 mm. Bound and remaining water are assumed ranges.
 */
const layersPerPiece = 8;
/** Water that a few minutes of room air put on the surface leaves at this rate under vacuum, 1/h. */
const surfaceRate = 1.5;

/** Pieces of like thickness. */
type PieceClass = {
  readonly share: number;
  /** Hours for the front to reach the middle. */
  readonly frontHours: number;
  /** Rate at which bound water leaves a dried layer, 1/h. */
  readonly boundRate: number;
  /** Bound water of each layer above what the dryer leaves, outermost first. */
  readonly layers: Float64Array;
};

export type DryingFood = {
  /** Water before drying, wet basis. */
  readonly water: number;
  /** Water still bound when the front has passed, and what a working dryer leaves in the end. */
  readonly bound: number;
  readonly left: number;
  /** Resistance of the whole dried layer relative to that at the start; 0 is a straight line. */
  readonly resistance: number;
  /** For a piece of mean thickness. */
  readonly frontHours: number;
  readonly boundRate: number;
};

export type PieceSize = { readonly share: number; readonly thickness: number };

export type Tray = {
  readonly food: DryingFood;
  readonly pieces: readonly PieceClass[];
  solids: number;
  /** Hours at full pace so far. */
  clock: number;
  /** Water on the surface, taken up from the room. */
  surface: number;
};

const dryBasis = (wetBasis: number) => wetBasis / (1 - wetBasis);

/** `fresh` grams of food, cut into `sizes` (their shares sum to 1). */
export function loadTray(fresh: number, food: DryingFood, sizes: readonly PieceSize[]): Tray {
  return {
    food,
    solids: fresh * (1 - food.water),
    clock: 0,
    surface: 0,
    pieces: sizes.map(({ share, thickness }) => ({
      share,
      frontHours: food.frontHours * thickness ** 2,
      boundRate: food.boundRate / thickness ** 2,
      layers: new Float64Array(layersPerPiece).fill(food.bound - food.left),
    })),
  };
}

export const copyOf = (tray: Tray): Tray => ({
  ...tray,
  pieces: tray.pieces.map((piece) => ({ ...piece, layers: piece.layers.slice() })),
});

/** The dried share x of a piece: x + βx²/2 = u (1 + β/2), u being the share of its time. */
export function driedShare(resistance: number, timeShare: number): number {
  if (timeShare >= 1) return 1;
  if (resistance < 1e-9) return timeShare;
  const root = Math.sqrt(1 + 2 * resistance * (1 + resistance / 2) * timeShare);
  return (root - 1) / resistance;
}

/** The share of a piece's time at which the front reaches the middle of a layer. */
function frontReaches(layer: number, resistance: number): number {
  const depth = (layer + 0.5) / layersPerPiece;
  return (depth + (resistance * depth ** 2) / 2) / (1 + resistance / 2);
}

/** Lets the tray dry for `hours` at `pace` (1 for a sound dryer, 0 for a dead one). Exact, in one step. */
export function dry(tray: Tray, hours: number, pace: number): void {
  const from = tray.clock;
  const to = from + hours * pace;
  for (const piece of tray.pieces) {
    for (let layer = 0; layer < layersPerPiece; layer++) {
      const reached = piece.frontHours * frontReaches(layer, tray.food.resistance);
      const drying = to - Math.max(from, reached);
      if (drying > 0) piece.layers[layer]! *= Math.exp(-piece.boundRate * drying);
    }
  }
  tray.surface *= Math.exp(-surfaceRate * hours * pace);
  tray.clock = to;
}

export type RoomAir = {
  /** Water that the dried food would hold in this room, g per g of solids. */
  readonly holds: number;
  /** 1/h. */
  readonly uptakeRate: number;
};

const driedShareOf = (tray: Tray, piece: PieceClass) =>
  driedShare(tray.food.resistance, tray.clock / piece.frontHours);

/** Minutes on the bench: the dried part takes up a little water, on its surface. */
export function standOnBench(tray: Tray, minutes: number, air: RoomAir): void {
  const dried = tray.pieces.reduce(
    (sum, piece) => sum + piece.share * driedShareOf(tray, piece),
    0,
  );
  const room = Math.max(0, air.holds - tray.food.left - tray.surface);
  tray.surface += dried * room * (1 - Math.exp((-air.uptakeRate * minutes) / 60));
}

/** Hours in the open: the water goes into the dried layers and has to be dried out of them again. */
export function lieOpen(tray: Tray, hours: number, air: RoomAir): void {
  const reached = 1 - Math.exp(-air.uptakeRate * hours);
  for (const piece of tray.pieces)
    for (let layer = 0; layer < layersPerPiece; layer++) {
      if (tray.clock < piece.frontHours * frontReaches(layer, tray.food.resistance)) continue;
      const room = air.holds - tray.food.left - piece.layers[layer]!;
      if (room > 0) piece.layers[layer]! += room * reached;
    }
}

export const takeFood = (tray: Tray, share: number): void => {
  tray.solids *= 1 - share;
};

function excessOfPiece(tray: Tray, piece: PieceClass): number {
  const ice = (dryBasis(tray.food.water) - tray.food.bound) * (1 - driedShareOf(tray, piece));
  return ice + piece.layers.reduce((sum, water) => sum + water, 0) / layersPerPiece;
}

/** Water above what a working dryer leaves, g per g of solids, over the whole tray. */
export const excessOf = (tray: Tray): number =>
  tray.surface +
  tray.pieces.reduce((sum, piece) => sum + piece.share * excessOfPiece(tray, piece), 0);

/** The same of the wettest pieces. */
export const wettestExcessOf = (tray: Tray): number =>
  tray.surface + Math.max(...tray.pieces.map((piece) => excessOfPiece(tray, piece)));

export const massOf = (tray: Tray): number => tray.solids * (1 + tray.food.left + excessOf(tray));

/**
 * Hours at `pace` until the excess has fallen to `limit`: 0 when it has already, null when it has not
 * within `hours`. The tray is left as it was.
 */
export function hoursUntil(tray: Tray, limit: number, hours: number, pace: number): number | null {
  const excessAfter = (some: number) => {
    const later = copyOf(tray);
    dry(later, some, pace);
    return excessOf(later);
  };
  if (excessOf(tray) <= limit) return 0;
  if (excessAfter(hours) > limit) return null;
  let [wet, dried] = [0, hours];
  while (dried - wet > 0.01) {
    const middle = (wet + dried) / 2;
    if (excessAfter(middle) > limit) wet = middle;
    else dried = middle;
  }
  return dried;
}
