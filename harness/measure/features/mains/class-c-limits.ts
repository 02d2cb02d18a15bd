/**
 * Limits of IEC 61000-3-2 for class C (lighting) with more than 25 W of input power, as parts of the fundamental
 * input current: order 2: 2 %, 3: 30 % times the power factor, 5: 10 %, 7: 7 %, 9: 5 %, odd 11..39: 3 %.
 * Null: the standard sets no limit for the order.
 * Source: IEC 61000-3-2 table 2 (confirmed in a test laboratory's report); editions differ for 25 W and less and for
 * dimmed states, which are not judged here.
 */
export function classCLimit(order: number, powerFactor: number): number | null {
  if (order === 2) return 0.02;
  if (order === 3) return 0.3 * powerFactor;
  if (order === 5) return 0.1;
  if (order === 7) return 0.07;
  if (order === 9) return 0.05;
  return order >= 11 && order <= 39 && order % 2 === 1 ? 0.03 : null;
}

/** Input power above which the table holds, W. */
export const classCPower = 25;
