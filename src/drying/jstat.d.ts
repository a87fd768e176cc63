/** The part of jstat that is used here; the package carries no types of its own. */
declare module "jstat" {
  export const jStat: {
    readonly normal: {
      cdf(x: number, mean: number, sd: number): number;
      inv(p: number, mean: number, sd: number): number;
    };
    readonly studentt: {
      cdf(x: number, degreesOfFreedom: number): number;
      inv(p: number, degreesOfFreedom: number): number;
    };
  };
}
