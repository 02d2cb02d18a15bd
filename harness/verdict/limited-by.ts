import type { Contribution } from '../measure/outcome.ts';
import { combined } from './assess.ts';

/** Part of the square of the uncertainty from which on one contribution is most of it. */
const most = 0.5;

/** Contributions that come of the bench's inputs, whatever the lamp does. */
const ofRig =
  /^(noise$|noise to one side$|noise correction$|offset of |scale of |time base of |what the record cannot show$)/;

/** What most of an uncertainty comes from, for a finding that it leaves open; null where nothing outweighs the rest. */
export function limitedBy(contributions: readonly Contribution[]): string | null {
  const whole = combined(contributions) ** 2;
  const largest = contributions.find(({ standard }) => standard ** 2 > most * whole);
  if (!largest) return null;
  const { name } = largest;
  return ofRig.test(name)
    ? `limited by the rig: most of the uncertainty is ${name}`
    : `most of the uncertainty is ${name}`;
}
