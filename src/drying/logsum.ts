/** Terms so far below the largest add nothing that is seen. */
const tiny = -30;

/** ln Σ exp(x), without overflow; −∞ for no weight at all. */
export function logSum(logs: ArrayLike<number>): number {
  let most = -Infinity;
  for (let i = 0; i < logs.length; i++) if (logs[i]! > most) most = logs[i]!;
  if (most === -Infinity) return most;
  let sum = 0;
  for (let i = 0; i < logs.length; i++) {
    const below = logs[i]! - most;
    if (below > tiny) sum += Math.exp(below);
  }
  return most + Math.log(sum);
}
