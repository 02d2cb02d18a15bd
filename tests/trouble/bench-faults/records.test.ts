import { readFileSync } from 'node:fs';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Rig } from '../../../harness/bench/rig.ts';
import { sampled } from '../../sampled.ts';
import { runClaims, storyOf, verdictsOf } from './run-claims.ts';

/** A fade and the levels around it, all of it within reach of a record that comes late. */
const fade = `spec: fade
claim: The lamp fades on time, and to the level that was commanded.
conditions:
  level: [20 %, 50 %]
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 300 ms
  - mark: full
  - hold: 200 ms
  - mark: fading
  - fade: { level: $level, over: 300 ms }
  - hold: 200 ms
  - mark: low
  - hold: 300 ms
capture:
  - { signal: light, rate: 20 kHz }
criteria:
  - { metric: fade-duration, of: light, during: fading, target: 300 ms, tolerance: ± 20 % }
  - { metric: level-ratio, of: light, during: low, reference: full, target: $level, tolerance: ± 15 % }
`;

const patience = { timeout: 60_000 };

describe.concurrent('a healthy digitiser', () => {
  it('passes', patience, async () => {
    const found = await runClaims(fade, []);
    expect(verdictsOf(found), storyOf(found)).toEqual(['pass', 'pass']);
  });
});

describe('a trigger that comes late', () => {
  it.each(sampled(['60 ms', '120 ms', '200 ms'], 1))(
    'by %s and says so: the right value',
    patience,
    async (time) => {
      const found = await runClaims(fade, [`trigger-late=${time},on=digitiser`]);
      expect(verdictsOf(found), storyOf(found)).toEqual(['pass', 'pass']);
    },
  );

  it.each(sampled(['30 ms', '60 ms', '120 ms', '200 ms'], 2))(
    'by %s and hides it: never the lamp',
    patience,
    async (time) => {
      const found = await runClaims(fade, [`trigger-hidden=${time},on=digitiser`]);
      expect(verdictsOf(found), storyOf(found)).not.toContain('fail');
      // Up to about 50 ms the doubt goes into the uncertainty, and the value is right.
      if (time === '120 ms' || time === '200 ms') {
        expect(verdictsOf(found), storyOf(found)).toEqual(['error', 'error']);
        expect(found[0]!.reason).toMatch(/does its trigger come late/);
      }
    },
  );
});

// Before its first condition it looks at a dark lamp twice and at a lit one, before the second at a dark one.
const replays = [
  ['is not counted', 'replay', /the same, code by code|is it an older record/],
  ['is counted as a new one', 'replay-counted', /the same, code by code|is it an older record/],
  ['is complete at once', 'replay-at-once', /not proved to be new|expected a new record/],
] as const;

describe('an old record that is handed over again', () => {
  it.each(sampled(replays, 1))(
    'and %s is an error of the bench',
    patience,
    async (_, kind, why) => {
      const found = await runClaims(fade, [`${kind},on=digitiser,from=6`]);
      expect(verdictsOf(found), storyOf(found)).toEqual(['pass', 'error']);
      expect(found[1]!.reason).toMatch(why);
    },
  );
});

describe('a digitiser that takes half a second to hand over each input', () => {
  it('delays what follows, and nothing is the lamp’s', { timeout: 150_000 }, async () => {
    const spec = fade.replace(
      '  - { signal: light, rate: 20 kHz }',
      `  - { signal: channel-current, of: each-channel, rate: 10 kHz, during: full }
  - { signal: light, rate: 20 kHz, during: fading }`,
    );
    const only = spec.replace(/ {2}- \{ metric: level-ratio.*\n/, '').replace(', 50 %]', ']');
    const slow = ['hand-over=500 ms,on=digitiser'];
    const found = await runClaims(only, slow, { errorIsRight: true });
    expect(verdictsOf(found), storyOf(found)).not.toContain('fail');
  });
});

describe('a record that is handed over long after the last window', () => {
  it('makes that window no longer than its hold', patience, async () => {
    const [condition] = await runClaims(
      `spec: steady
claim: The lamp keeps its light.
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 300 ms
  - mark: lit
  - hold: 400 ms
capture:
  - { signal: light, rate: 10 kHz }
criteria:
  - { metric: dropouts, of: light, during: lit, at-most: 0 }
  - { metric: modulation, of: light, during: lit, at-most: 30 % }
`,
      ['hand-over=1.5 s,on=digitiser'],
    );
    expect(condition, storyOf([condition!])).toMatchObject({ verdict: 'pass' });
    const { marks, commanded } = condition!;
    const ended = commanded!.flatMap(({ segments }) => segments.map(([, to]) => to));
    expect(Math.max(...ended) - marks.at(-1)!.at).toBeLessThan(0.7);
  });
});

describe('a profile with blocks in network order, and a count of the records', () => {
  let folder: string;
  let profile: string;
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'evenfall-'));
    profile = join(folder, 'counted.profile.yaml');
    const shipped = readFileSync('specs/rigs/tarn-d16.profile.yaml', 'utf8');
    const counted = shipped
      .replace('FORM:BORD SWAP', 'FORM:BORD NORM')
      .replace('order: little', 'order: big')
      .replace('status: not-complete', 'counter: "ACQ:COUN?"');
    await writeFile(profile, counted);
  });
  afterAll(() => rm(folder, { recursive: true }));

  const counting = (rig: Rig): Rig => ({
    ...rig,
    instruments: rig.instruments.map((one) =>
      one.name === 'digitiser'
        ? { ...one, settings: { ...(one.settings as object), profile } }
        : one,
    ),
  });

  it('passes', patience, async () => {
    const found = await runClaims(fade, [], { rig: counting });
    expect(verdictsOf(found), storyOf(found)).toEqual(['pass', 'pass']);
  });

  it('finds the record that was not counted', patience, async () => {
    const found = await runClaims(fade, ['replay,on=digitiser,from=6'], { rig: counting });
    expect(verdictsOf(found), storyOf(found)).toEqual(['pass', 'error']);
    expect(found[1]!.reason).toMatch(/expected it to rise by 1/);
  });
});
