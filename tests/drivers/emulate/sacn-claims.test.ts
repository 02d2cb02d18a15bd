import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { sampled } from '../../sampled.ts';
import { specsFolder } from '../../spec-language/shipped-lamp.ts';
import { runOne } from '../../trouble/bench-faults/run-claim.ts';

const claim = (name: string): string =>
  readFileSync(join(specsFolder, 'control', `${name}.spec.yaml`), 'utf8');

const claims = [
  ...['sacn-wrong-head', 'sacn-sequence-wraps', 'sacn-source-returns', 'sacn-last-levels'],
];

describe('packets that no sound sender makes', () => {
  it.each(sampled(claims, 1))('%s is proved by UDP as well', { timeout: 90_000 }, async (name) => {
    const { verdict, reason } = await runOne(claim(name));
    expect(verdict, reason ?? '').toBe('pass');
  });

  it('and a packet that is sound moves the light there', { timeout: 90_000 }, async () => {
    const text = claim('sacn-wrong-head').replace(/fields: \{ preamble: 0x0011 \}/, 'length: 638');
    const { verdict, findings } = await runOne(text);
    expect(verdict).toBe('fail');
    expect(findings.map(({ metric }) => metric)).toContain('level-ratio');
  });
});
