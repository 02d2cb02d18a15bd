/** A fade of more than a day is a wrong unit, s. */
export const longestTime = 86_400;

/** A lamp on a wall stays lit for weeks: 32-bit counters of milliseconds wrap after 49.7 d. A longer hold is a wrong unit, s. */
export const longestHold = 60 * 86_400;
