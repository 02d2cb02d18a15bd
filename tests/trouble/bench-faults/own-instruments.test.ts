import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Rig } from '../../../harness/bench/rig.ts';
import { runClaims, storyOf, verdictsOf } from './run-claims.ts';

const patience = { timeout: 120_000 };

/** A fade long after the program has to have begun, and one claim of a window. */
const spec = (first: string): string => `spec: own-recorder
claim: The lamp fades on time, and to the level that was commanded.
conditions:
  level: [20 %, 50 %]
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: ${first}
  - mark: full
  - hold: 500 ms
  - mark: fading
  - fade: { level: $level, over: 300 ms }
  - hold: 400 ms
  - mark: low
  - hold: 500 ms
capture:
  - { signal: light, rate: 10 kHz }
criteria:
  - { metric: fade-duration, of: light, during: fading, target: 300 ms, tolerance: ± 20 % }
  - { metric: fade-start-delay, of: light, during: fading, at-most: 60 ms }
  - { metric: level-ratio, of: light, during: low, reference: full, target: $level, tolerance: ± 15 % }
`;

/** The digitiser of the rig is read by a program that begins up to `delay` ms late. */
const byProgram =
  (delay: number, ...manner: string[]) =>
  (rig: Rig): Rig => ({
    ...rig,
    instruments: rig.instruments.map((one) => {
      if (one.name !== 'digitiser') return one;
      const { address } = one.settings as { readonly address: { readonly port: number } };
      const program = resolve('tests/trouble/bench-faults/own-recorder.mjs');
      const command = [process.execPath, program, `${address.port}`, `${delay}`, ...manner];
      return { ...one, driver: 'program', identity: {}, settings: { kind: 'digitiser', command } };
    }),
  });

describe('a program that begins its record 0 to 0.3 s late', () => {
  it('never makes the lamp fail, and its doubt is in the uncertainty', patience, async () => {
    const rig = byProgram(300);
    const found = await runClaims(spec('2500 ms'), [], { rig, errorIsRight: true });
    expect(verdictsOf(found), storyOf(found)).not.toContain('fail');
  });

  it('gives the right value where it says when it began', patience, async () => {
    const found = await runClaims(spec('2500 ms'), [], { rig: byProgram(300, 'tells') });
    expect(verdictsOf(found), storyOf(found)).toEqual(['pass', 'pass']);
  });

  it('is an error where the first window may be missing of it', patience, async () => {
    const early = spec('1 ms');
    const rig = byProgram(300);
    const found = await runClaims(early, [], { rig, errorIsRight: true });
    expect(verdictsOf(found), storyOf(found)).toEqual(['error', 'error']);
  });
});

describe('a program that hands over its first record again and again', () => {
  it('is an error of the bench from the second on', patience, async () => {
    const folder = await mkdtemp(join(tmpdir(), 'evenfall-'));
    try {
      const found = await runClaims(spec('2500 ms'), [], {
        rig: byProgram(0, 'replays', join(folder, 'first.json')),
      });
      expect(verdictsOf(found), storyOf(found)).not.toContain('fail');
      expect(found[1], storyOf(found)).toMatchObject({ verdict: 'error' });
      expect(found[1]!.reason).toMatch(/the same, code by code/);
    } finally {
      await rm(folder, { recursive: true });
    }
  });
});
