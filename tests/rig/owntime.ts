/**
 * Time as this process had it: `const time = ownTime()`, then `time.turn()` in every turn of a loop that waits, and
 * `time.ms()`. Of a turn that came late only what the process itself computed counts, so that a bound on the program
 * holds on a machine that is busy with something else, and a program that computes too long is still found out.
 */
const longestTurnMs = 10;

export function ownTime(): { turn(): void; ms(): number } {
  let total = 0;
  let at = performance.now();
  let spent = process.cpuUsage();
  return {
    turn() {
      const now = performance.now();
      const more = process.cpuUsage(spent);
      const computedMs = (more.user + more.system) / 1000;
      total += Math.min(now - at, Math.max(longestTurnMs, computedMs));
      at = now;
      spent = process.cpuUsage();
    },
    ms: () => total,
  };
}

/** Milliseconds of the processor that something takes; what else runs on the machine does not count. */
export function computingMs(what: () => void): number {
  const before = process.cpuUsage();
  what();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000;
}
