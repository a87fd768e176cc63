export declare const permissive: readonly string[];
export declare function shipped(): readonly {
  readonly name: string;
  readonly version: string;
  readonly licence: string;
  readonly installs: boolean;
}[];
