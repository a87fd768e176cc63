/** Linear algebra of one step: `jacobian` has a row for each residual, `free` lists the columns that may move. */
import { Matrix, QrDecomposition } from "ml-matrix";

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
  const full = scale.map(() => 0);
  if (free.length === 0) return full;
  const qr = new QrDecomposition(columnsOf(jacobian, free, scale));
  if (!isOfFullRank(qr)) return null;
  const solved = qr.solve(Matrix.columnVector(residuals.map((value) => -value)));
  for (const [column, j] of free.entries()) full[j] = solved.get(column, 0) / (scale[j]! || 1);
  return full;
}

export function dampedStep(
  jacobian: Rows,
  residuals: readonly number[],
  free: readonly number[],
  scale: readonly number[],
  damping: number,
): readonly number[] {
  const full = scale.map(() => 0);
  if (free.length === 0) return full;
  const rows = jacobian.length;
  const system = Matrix.zeros(rows + free.length, free.length);
  const right = Matrix.zeros(rows + free.length, 1);
  for (let i = 0; i < rows; i++) {
    for (const [column, j] of free.entries())
      system.set(i, column, jacobian[i]![j]! / (scale[j]! || 1));
    right.set(i, 0, -residuals[i]!);
  }
  for (let column = 0; column < free.length; column++)
    system.set(rows + column, column, Math.sqrt(damping));
  const solved = new QrDecomposition(system).solve(right);
  for (const [column, j] of free.entries()) full[j] = solved.get(column, 0) / (scale[j]! || 1);
  return full;
}

/** (JᵀJ)⁻¹ of the free columns, or null where they are not independent. */
export function inverseOfNormal(jacobian: Rows, free: readonly number[]): Rows | null {
  const norms = free.map((j) => columnNorm(jacobian, j));
  const scale = free.reduce<number[]>((all, j, column) => {
    all[j] = norms[column]!;
    return all;
  }, []);
  if (norms.some((norm) => norm === 0)) return null;
  const qr = new QrDecomposition(columnsOf(jacobian, free, scale));
  if (!isOfFullRank(qr)) return null;
  const pseudo = qr.solve(Matrix.eye(jacobian.length));
  const inverse = pseudo.mmul(pseudo.transpose());
  return norms.map((normI, i) => norms.map((normJ, j) => inverse.get(i, j) / (normI * normJ)));
}

function isOfFullRank(qr: QrDecomposition): boolean {
  const sizes = qr.upperTriangularMatrix.diagonal().map(Math.abs);
  return Math.min(...sizes) > rankTolerance * Math.max(...sizes);
}

const columnsOf = (jacobian: Rows, free: readonly number[], scale: readonly number[]): Matrix =>
  new Matrix(jacobian.map((row) => free.map((j) => row[j]! / (scale[j]! || 1))));

export const sumOfSquares = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value * value, 0);

export const columnNorm = (jacobian: Rows, j: number): number =>
  Math.sqrt(jacobian.reduce((sum, row) => sum + row[j]! ** 2, 0));

export const dot = (jacobian: Rows, j: number, residuals: readonly number[]): number =>
  jacobian.reduce((sum, row, i) => sum + row[j]! * residuals[i]!, 0);
