/** What a command may touch of the program around it. */
export type Io = {
  readonly out: (line: string) => void;
  readonly err: (line: string) => void;
  readonly env: NodeJS.ProcessEnv;
  /** Aborted when a person interrupts the program. */
  readonly signal: AbortSignal;
};
