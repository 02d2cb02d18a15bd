/** Clocks of two computers may differ by this much, ms. Common practice, no source. */
export const clocksApart = 5 * 60_000;
