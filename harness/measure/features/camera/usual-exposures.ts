/** Exposure times that cameras offer, as 1/s; from memory, common practice. 1/48 … 1/120 are half frames. */
export const usualExposures: readonly number[] = [
  24, 25, 30, 48, 50, 60, 100, 120, 125, 250, 500, 1000, 2000, 4000, 8000,
].map((perSecond) => 1 / perSecond);

/**
 * The slowest usual frame rate (24, 25, 30, 50, 60, 120, 240 per second; from memory). Its frame takes longest to roll,
 * so whatever bands a faster one shows at an exposure, this one shows too.
 */
export const slowestFrameRate = 24;
