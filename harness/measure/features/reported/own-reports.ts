import type { Observation, SelfReport } from '../../observation.ts';

/** What the lamp said of a property within the window, in order of time. */
export function ownReports(
  { selfReports = [], window }: Observation,
  property: string,
): readonly SelfReport[] {
  return selfReports.filter(
    (one) => one.property === property && one.from >= window.from && one.to <= window.to,
  );
}

/** Anywhere in an interval, equally likely: a rectangle (JCGM 100:2008, 4.3.7). */
export function evenly(width: number): number {
  return width / Math.sqrt(12);
}
