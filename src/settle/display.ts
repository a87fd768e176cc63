/** How likely a display is to show a step, given where the load lies and how noisy the readings are. In divisions. */

/** For each hundredth of a division between the middle of a step and the mass: how likely the display shows the step. */
export type Cell = Float64Array;

const perDivision = 100;
const reach = 6;
/** No figure is held to be impossible: a knock or a misread digit is rarer than noise, not rarer than rare. */
const leastProbability = 1e-6;
const known = new Map<number, Cell>();

/** `noise`: standard deviation of one reading before rounding, in divisions; taken to the next twentieth. */
export function cellOf(noise: number): Cell {
  const twentieths = Math.max(1, Math.ceil(noise * 20 - 1e-9));
  const made = known.get(twentieths) ?? makeCell(twentieths / 20);
  known.set(twentieths, made);
  return made;
}

/** Probability that a display shows a step whose middle lies `away` divisions from the mass. */
export function shareOf(cell: Cell, away: number): number {
  const at = ((away < 0 ? -away : away) * perDivision + 0.5) | 0;
  return at < cell.length ? cell[at]! : leastProbability;
}

const makeCell = (noise: number): Cell =>
  Float64Array.from({ length: reach * perDivision }, (_, i) =>
    Math.max(leastProbability, normalShare(i / perDivision, noise)),
  );

/** Share of a normal distribution within half a division of `away`, by Simpson's rule. */
function normalShare(away: number, sd: number): number {
  const parts = 100;
  let sum = 0;
  for (let i = 0; i <= parts; i++) {
    const z = (away - 0.5 + i / parts) / sd;
    const weight = i === 0 || i === parts ? 1 : i % 2 === 1 ? 4 : 2;
    sum += weight * Math.exp(-0.5 * z * z);
  }
  return sum / (3 * parts * sd * Math.sqrt(2 * Math.PI));
}
