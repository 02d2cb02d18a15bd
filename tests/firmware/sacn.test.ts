import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { loadFirmware } from '../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../drivers/plant/firmware/open-firmware.ts';
import { buildAlcoveSacn } from './build-firmware.ts';
import { claim, judge } from './judge.ts';

const specs = join(import.meta.dirname, '../../specs');
/** The claims about packets, but for the one about lamps that go dark on loss: this one holds. */
const claims = readdirSync(join(specs, 'control'))
  .filter((file) => file.startsWith('sacn-') && file !== 'sacn-loss-darkens.spec.yaml')
  .map((file) => `control/${file.replace('.spec.yaml', '')}`)
  .concat('robustness/sacn-noise');

async function verdicts(bytes: Uint8Array, name: string): Promise<ReadonlySet<string>> {
  const image = await loadFirmware(bytes, 'alcove');
  const plan = claim(name);
  const all = new Set<string>();
  for (const index of plan.conditions.keys())
    all.add((await judge(plan, index, { firmware: () => openFirmware(image) })).verdict);
  return all;
}

describe('the receiver of sACN of the example firmware keeps', () => {
  const bytes = buildAlcoveSacn();
  test.each(claims)('%s', async (name) => {
    expect(await verdicts(bytes, name)).toEqual(new Set(['pass']));
  });
});

/** The claim that has to catch a bug in the receiver, and one that the bug leaves alone. */
const bugs: readonly (readonly [bug: string, caught: string, spared: string])[] = [
  ['sacn-cid-short', 'sacn-sources-apart', 'sacn-terminated'],
  ['sacn-end-ends-all', 'sacn-other-source-ends', 'sacn-terminated'],
  ['sacn-end-not-heard', 'sacn-last-levels', 'sacn-priority'],
  ['sacn-layers-unchecked', 'sacn-wrong-head', 'sacn-preview'],
  ['sacn-loss-by-any', 'sacn-takeover', 'sacn-terminated'],
  ['sacn-loss-slow', 'sacn-takeover', 'sacn-terminated'],
  ['sacn-preview-taken', 'sacn-preview', 'sacn-other-start-codes'],
  ['sacn-priority-kept', 'sacn-takeover', 'sacn-priority'],
  ['sacn-priority-once', 'sacn-priority-changes', 'sacn-priority'],
  ['sacn-start-code-taken', 'sacn-other-start-codes', 'sacn-preview'],
  ['sacn-sync-any-address', 'sacn-sync', 'sacn-sync-lost'],
  ['sacn-sync-ignored', 'sacn-sync', 'sacn-priority'],
  ['sacn-sync-waits-for-ever', 'sacn-sync-lost', 'sacn-sync'],
  ['sacn-two-sources', 'sacn-other-source-ends', 'sacn-takeover'],
  ['sacn-universe-unchecked', 'sacn-other-universe', 'sacn-preview'],
  ['sacn-window-half', 'sacn-jump-back', 'sacn-sequence'],
  ['sacn-wrap-freezes', 'sacn-sequence-wraps', 'sacn-sources-apart'],
  ['sacn-wrap-late', 'sacn-sequence', 'sacn-sequence-wraps'],
];

describe('a bug in that receiver', () => {
  test.each(bugs)('%s is caught by %s, and spares %s', async (bug, caught, spared) => {
    const bytes = buildAlcoveSacn(bug);
    expect(await verdicts(bytes, `control/${caught}`)).toContain('fail');
    expect(await verdicts(bytes, `control/${spared}`)).toEqual(new Set(['pass']));
  });
});
