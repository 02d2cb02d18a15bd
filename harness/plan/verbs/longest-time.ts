/** A fade or hold of more than a day is a wrong unit, s. */
export const longestTime = 86_400;
