/** The wall clock of this process: `now` as ISO 8601 UTC, `seconds` monotonic. */
export const wallClock = {
  now: (): string => new Date().toISOString(),
  seconds: (): number => performance.now() / 1000,
};
