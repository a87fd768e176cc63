/** Linear algebra of one step: `jacobian` has a row for each residual, `free` lists the columns that may move. */

export type Rows = readonly (readonly number[])[];

/** Columns of the Jacobian are the same, to the computer, when the scaled R has a smaller diagonal than this. */
const rankTolerance = 1e-12;

/** Null where the columns are not independent. */
export function gaussNewtonStep(
  jacobian: Rows,
  residuals: readonly number[],
  free: readonly number[],
  scale: readonly number[],
): readonly number[] | null {
  if (free.length === 0) return scale.map(() => 0);
  const triangle = triangleOf(columnsOf(jacobian, free, scale), negated(residuals));
  return isOfFullRank(triangle) ? stepFrom(triangle, free, scale) : null;
}

export function dampedStep(
  jacobian: Rows,
  residuals: readonly number[],
  free: readonly number[],
  scale: readonly number[],
  damping: number,
): readonly number[] {
  if (free.length === 0) return scale.map(() => 0);
  const rows = jacobian.length;
  const columns = columnsOf(jacobian, free, scale, rows + free.length);
  for (const [j, column] of columns.entries()) column[rows + j] = Math.sqrt(damping);
  return stepFrom(triangleOf(columns, negated(residuals, rows + free.length)), free, scale);
}

/** (JᵀJ)⁻¹ of the free columns, or null where they are not independent. */
export function inverseOfNormal(jacobian: Rows, free: readonly number[]): Rows | null {
  const norms = free.map((j) => columnNorm(jacobian, j));
  const scale = free.reduce<number[]>((all, j, column) => {
    all[j] = norms[column]!;
    return all;
  }, []);
  if (norms.some((norm) => norm === 0)) return null;
  const triangle = triangleOf(columnsOf(jacobian, free, scale), new Float64Array(jacobian.length));
  if (!isOfFullRank(triangle)) return null;
  const root = free.map((_, j) =>
    backwards(
      triangle,
      Float64Array.from(free, (__, i) => (i === j ? 1 : 0)),
    ),
  );
  return norms.map((normI, i) =>
    norms.map(
      (normJ, j) =>
        root.reduce((sum, column) => sum + column[i]! * column[j]!, 0) / (normI * normJ),
    ),
  );
}

/** R of the decomposition A = QR, by columns, its diagonal apart; and Qᵀb. */
type Triangle = {
  readonly columns: readonly Float64Array[];
  readonly diagonal: Float64Array;
  readonly right: Float64Array;
};

/** Householder's reflections (Golub and Van Loan, Matrix Computations, algorithm 5.2.1, from memory). Overwrites both. */
function triangleOf(columns: readonly Float64Array[], right: Float64Array): Triangle {
  const rows = right.length;
  const diagonal = new Float64Array(columns.length);
  for (const [k, mirror] of columns.entries()) {
    let squares = 0;
    for (let i = k; i < rows; i++) squares += mirror[i]! * mirror[i]!;
    const norm = mirror[k]! > 0 ? -Math.sqrt(squares) : Math.sqrt(squares);
    diagonal[k] = norm;
    if (norm === 0) continue;
    mirror[k]! -= norm;
    const half = -norm * mirror[k]!;
    for (let j = k + 1; j < columns.length; j++) reflect(columns[j]!, mirror, k, half);
    reflect(right, mirror, k, half);
  }
  return { columns, diagonal, right };
}

/** Takes v·(v·x)/half from x, from row `from` on; `half` is half of v·v. */
function reflect(x: Float64Array, v: Float64Array, from: number, half: number): void {
  let product = 0;
  for (let i = from; i < x.length; i++) product += v[i]! * x[i]!;
  const share = product / half;
  for (let i = from; i < x.length; i++) x[i]! -= share * v[i]!;
}

/** Solves R·x = right. */
function backwards({ columns, diagonal }: Triangle, right: Float64Array): Float64Array {
  const x = right.slice(0, columns.length);
  for (let i = columns.length - 1; i >= 0; i--) {
    for (let j = i + 1; j < columns.length; j++) x[i]! -= columns[j]![i]! * x[j]!;
    x[i]! /= diagonal[i]!;
  }
  return x;
}

function stepFrom(
  triangle: Triangle,
  free: readonly number[],
  scale: readonly number[],
): readonly number[] {
  const full = scale.map(() => 0);
  const solved = backwards(triangle, triangle.right);
  for (const [column, j] of free.entries()) full[j] = solved[column]! / (scale[j]! || 1);
  return full;
}

function isOfFullRank({ diagonal }: Triangle): boolean {
  const sizes = diagonal.map(Math.abs);
  return Math.min(...sizes) > rankTolerance * Math.max(...sizes);
}

/** The free columns, scaled, with room for as many rows. */
function columnsOf(
  jacobian: Rows,
  free: readonly number[],
  scale: readonly number[],
  rows = jacobian.length,
): readonly Float64Array[] {
  return free.map((j) => {
    const column = new Float64Array(rows);
    const unit = scale[j]! || 1;
    for (let i = 0; i < jacobian.length; i++) column[i] = jacobian[i]![j]! / unit;
    return column;
  });
}

function negated(values: readonly number[], rows = values.length): Float64Array {
  const answer = new Float64Array(rows);
  for (let i = 0; i < values.length; i++) answer[i] = -values[i]!;
  return answer;
}

export const sumOfSquares = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value * value, 0);

export const columnNorm = (jacobian: Rows, j: number): number =>
  Math.sqrt(jacobian.reduce((sum, row) => sum + row[j]! ** 2, 0));

export const dot = (jacobian: Rows, j: number, residuals: readonly number[]): number =>
  jacobian.reduce((sum, row, i) => sum + row[j]! * residuals[i]!, 0);
