/** Light over equal stretches of time, any unit; `full` is the most that it can be. */
export interface LightOverTime {
  readonly light: ArrayLike<number>;
  /** s that each value covers. */
  readonly step: number;
  readonly full: number;
}

/** An opposing change counts from this part of full light on, where its darker end is below the other part (WCAG 2.2). */
const leastChange = 0.1;
const darkest = 0.8;
/** s in which flashes are counted. */
const span = 1;

/**
 * The most flashes within any second: a flash is a pair of opposing changes of a tenth of full light or more, of which the darker end lies
 * below 80 %. Source: WCAG 2.2, success criterion 2.3.1 and its definition of a general flash.
 */
export function mostFlashes({ light, step, full }: LightOverTime): number {
  if (full <= 0) return 0;
  const changes = opposingChanges(light, full).map((index) => index * step);
  let most = 0;
  let first = 0;
  for (const [last, at] of changes.entries()) {
    while (at - (changes[first] ?? at) > span) first++;
    most = Math.max(most, last - first + 1);
  }
  return Math.floor(most / 2);
}

/** Where the light had changed enough, and the other way than before. */
function opposingChanges(light: ArrayLike<number>, full: number): readonly number[] {
  const found: number[] = [];
  let [lowest, highest, direction] = [light[0] ?? 0, light[0] ?? 0, 0];
  for (let index = 1; index < light.length; index++) {
    const value = light[index] ?? 0;
    const rises = value - lowest >= leastChange * full && lowest < darkest * full;
    const falls = highest - value >= leastChange * full && value < darkest * full;
    if (direction <= 0 && rises) direction = mark(1, index);
    else if (direction >= 0 && falls) direction = mark(-1, index);
    lowest = Math.min(lowest, value);
    highest = Math.max(highest, value);
    // Once it has turned, only the way back counts.
    if (direction > 0) lowest = value;
    if (direction < 0) highest = value;
  }
  return found;

  function mark(next: number, index: number): number {
    found.push(index);
    [lowest, highest] = [light[index] ?? 0, light[index] ?? 0];
    return next;
  }
}
