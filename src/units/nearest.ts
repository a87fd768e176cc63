/** For a misspelt word: the known one that it most likely stands for. */
export function nearest(text: string, known: readonly string[]): string {
  return known.toSorted((a, b) => distance(text, a) - distance(text, b))[0] ?? "";
}

/** Levenshtein's edit distance. */
export function distance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, at) => at);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = (row[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      next.push(Math.min((row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1, change));
    }
    row = next;
  }
  return row[b.length] ?? 0;
}
