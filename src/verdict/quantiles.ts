/** Values with their weights, side by side; weights need not add up to one. */
export type Weighted = { readonly values: number[]; readonly weights: number[] };

/** Weights that add up to a share but for the last digits have reached it. */
const tie = 1e-9;

/**
 * The values below which each share in `ps` of all weight lies; 0 where nothing has weight. By halving as in Hoare's
 * "Find" (Communications of the ACM 4, 1961, from memory), not by sorting: there are thousands, and three are asked for.
 */
export function quantiles({ values, weights }: Weighted, ps: readonly number[]): readonly number[] {
  const value = Float64Array.from(values);
  const weight = Float64Array.from(weights);
  const total = weight.reduce((sum, one) => sum + one, 0);
  if (total === 0) return ps.map(() => 0);
  return ps.map((p) => valueReaching(p * total * (1 - tie), value, weight));
}

/** The least value with which the weight of those up to it reaches `target`. Reorders both arrays alike. */
function valueReaching(target: number, value: Float64Array, weight: Float64Array): number {
  let from = 0;
  let to = value.length;
  let before = 0;
  let reached = 0;
  while (from < to) {
    const pivot = middleOf(value[from]!, value[(from + to) >> 1]!, value[to - 1]!);
    // Below the pivot, then the pivot and its likes, then those not yet looked at, then above.
    let same = from;
    let above = to;
    let below = 0;
    let alike = 0;
    for (let i = from; i < above;) {
      const here = value[i]!;
      if (here < pivot) {
        below += weight[i]!;
        swap(value, weight, i++, same++);
      } else if (here > pivot) swap(value, weight, i, --above);
      else alike += weight[i++]!;
    }
    if (before + below >= target && same > from) to = same;
    else if (before + below + alike >= target) return pivot;
    else {
      before += below + alike;
      reached = alike > 0 ? pivot : reached;
      from = above;
    }
  }
  return reached;
}

const middleOf = (a: number, b: number, c: number): number =>
  Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));

function swap(value: Float64Array, weight: Float64Array, i: number, j: number): void {
  const [v, w] = [value[i]!, weight[i]!];
  value[i] = value[j]!;
  weight[i] = weight[j]!;
  value[j] = v;
  weight[j] = w;
}
