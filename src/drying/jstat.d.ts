/** The part of jstat that is used here; the package carries no types of its own. */
declare module "jstat" {
  const jStat: {
    readonly normal: {
      pdf(x: number, mean: number, sd: number): number;
      cdf(x: number, mean: number, sd: number): number;
      inv(p: number, mean: number, sd: number): number;
    };
  };
  // The package is CommonJS: Node finds only its default export.
  export default jStat;
}
