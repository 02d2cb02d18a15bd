/** The part of the statistics library that the tests use as an independent reference; it ships no types. */
declare module 'jstat' {
  const jstat: {
    readonly jStat: {
      readonly normal: {
        cdf(x: number, mean: number, standard: number): number;
        inv(p: number, mean: number, standard: number): number;
      };
      readonly studentt: { inv(p: number, freedom: number): number };
    };
  };
  export default jstat;
}
