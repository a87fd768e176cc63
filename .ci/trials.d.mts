export type Trial = {
  readonly name: string;
  readonly fault: string;
  readonly how: string;
  readonly times: string;
  readonly lost: string;
  readonly where: string;
  readonly run: string;
  readonly count?: string;
};
export declare const marks: readonly [string, string];
export declare function trials(): readonly Trial[];
export declare function tableOf(list: readonly Trial[]): string;
