import { describe, expect, it } from 'vitest';
import type { Trouble, TroubleKind } from '../../drivers/plant/emulate/trouble.ts';
import { parseRunRecord } from '../../harness/record/parse-run-record.ts';
import { sampled, whole } from '../sampled.ts';
import { runUnder, type Story } from './run-under-trouble.ts';

/** Everything up to the longest story in the whole campaign, otherwise some of them. */
const some = [1, 3, 6, 12];
const each = Array.from({ length: 40 }, (_, k) => k + 1);
const numbers = whole ? each : some;

const patience = { timeout: 60_000 };

function trouble(kind: TroubleKind, on: string, more: Partial<Trouble> = {}): Trouble {
  return { kind, on, from: 1, once: false, seconds: kind === 'late' ? 3 : 0.2, ...more };
}

function verdicts({ record }: Story): readonly string[] {
  return record.specs.flatMap(({ conditions }) => conditions.map(({ verdict }) => verdict));
}

function reasons({ record }: Story): string {
  const all = record.specs.flatMap(({ conditions }) => conditions.map(({ reason }) => reason));
  return all.join(' | ');
}

/** Signs of a test machine that was too busy to keep real time, not of the trouble. */
const tooBusy =
  /commands came up to|no samples in the window|no colour reading of lamp|cannot decide/;

/** Again, three times at most, where this machine was too busy; what has to hold whatever happens is held each time. */
async function inTime(troubles: readonly Trouble[], options = {}): Promise<Story> {
  for (let tries = 1; ; tries++) {
    const story = await runUnder(troubles, options);
    expectSoundness(story);
    if (tries === 3 || !tooBusy.test(reasons(story))) return story;
  }
}

/** What has to hold whatever the bench did: the lamp is never blamed, the record is whole, the lamp is off. */
function expectSoundness(story: Story): void {
  const { record } = story;
  expect(verdicts(story), reasons(story)).not.toContain('fail');
  expect(record.ended).toBe('complete');
  expect(parseRunRecord(JSON.parse(JSON.stringify(record)))).toMatchObject({ ok: true });
  for (const { conditions } of record.specs)
    for (const { verdict, reason } of conditions)
      if (verdict === 'error') expect(reason).toMatch(/\w/);
}

function expectSafe({ record, outputOn, dark }: Story): void {
  expect(record.safeState).toMatchObject({ confirmed: true });
  expect(outputOn).toBe(false);
  expect(dark).toBe(true);
}

describe.concurrent('a run without trouble', () => {
  it('passes, over TCP and over a terminal', patience, async () => {
    for (const terminal of [false, true]) {
      const story = await inTime([], { terminal });
      expect(verdicts(story), reasons(story)).toEqual(['pass', 'pass']);
      expectSoundness(story);
      expectSafe(story);
    }
  });
});

const talking = ['digitiser', 'supply', 'colour-sensor', 'console'];
const failing = talking.flatMap((on) => numbers.map((from) => [on, from] as const));

describe.concurrent('the n-th answer that does not come', () => {
  it.each(sampled(failing, 8))(
    'of the %s, n = %i: at most one condition is an error, the other passes',
    patience,
    async (on, from) => {
      const story = await inTime([trouble('silence', on, { from, once: true })]);
      expectSoundness(story);
      expectSafe(story);
      const errors = verdicts(story).filter((verdict) => verdict === 'error');
      expect(errors.length, reasons(story)).toBeLessThanOrEqual(1);
      expect(verdicts(story), reasons(story)).toContain('pass');
    },
  );
});

const once: readonly (readonly [TroubleKind, string])[] = [
  ...(['late', 'garbage', 'half', 'drip', 'reset', 'reboot'] as const).flatMap((kind) =>
    ['digitiser', 'supply', 'colour-sensor'].map((on) => [kind, on] as const),
  ),
  ...(['late', 'garbage', 'half', 'drip', 'reset'] as const).map(
    (kind) => [kind, 'console'] as const,
  ),
];

describe.concurrent('trouble in the middle of the first condition', () => {
  it.each(sampled(once, 8))(
    '%s of the %s: never a fail, the next condition passes',
    patience,
    async (kind, on) => {
      const from = on === 'console' ? 2 : 6;
      const story = await inTime([trouble(kind, on, { from, once: true })]);
      expectSoundness(story);
      expectSafe(story);
      expect(verdicts(story)[1], reasons(story)).toBe('pass');
    },
  );
});

describe.concurrent('a bench that stays broken', () => {
  const silent: readonly (readonly [TroubleKind, string])[] = [
    ['silence', 'digitiser'],
    ['garbage', 'digitiser'],
    ['vanish', 'digitiser'],
    ['silence', 'colour-sensor'],
    ['vanish', 'colour-sensor'],
    ['silence', 'console'],
    ['vanish', 'console'],
  ];
  it.each(sampled(silent, 3))(
    '%s of the %s: every condition is an error, and the supply is off',
    patience,
    async (kind, on) => {
      const story = await inTime([trouble(kind, on)]);
      expectSoundness(story);
      expect(verdicts(story), reasons(story)).toEqual(['error', 'error']);
      expectSafe(story);
    },
  );

  it(
    'another instrument that answers after a lost connection is not taken for the first one',
    patience,
    async () => {
      const lost = trouble('reset', 'digitiser', { from: 6, once: true });
      const story = await inTime([lost, trouble('identity', 'digitiser')]);
      expectSoundness(story);
      expectSafe(story);
      expect(verdicts(story), reasons(story)).toEqual(['error', 'error']);
      expect(reasons(story)).toContain('EM-0000');
    },
  );

  it(
    'another lamp that answers after a bench error is not taken for the first one',
    patience,
    async () => {
      const raw = 'Halden Display Lighting,Alcove-6,A6-0001,1.0';
      const first = { maker: '', model: '', serial: '', firmware: '', raw };
      const story = await inTime([trouble('silence', 'digitiser', { from: 3, once: true })], {
        known: new Map([['console', first]]),
      });
      expectSafe(story);
      expect(verdicts(story), reasons(story)).toEqual(['error', 'error']);
      expect(reasons(story)).toContain(`"${raw}" answered when the run began`);
    },
  );

  it.each([['silence'], ['vanish']] as const)(
    '%s of the supply: an error, and the record says that the safe state is not confirmed',
    patience,
    async (kind) => {
      const story = await inTime([trouble(kind, 'supply')]);
      expectSoundness(story);
      expect(verdicts(story), reasons(story)).toEqual(['error', 'error']);
      expect(story.record.safeState).toMatchObject({ confirmed: false });
    },
  );
});

describe.concurrent('sACN, which has no way back', () => {
  // Where every packet is lost, nobody but the lamp could know: a bench without a way back takes it for a dark lamp.
  it.each([1, 2, 4, 7])('says it again where packet %i is lost', patience, async (from) => {
    const story = await inTime([trouble('silence', 'sacn', { from, once: true })], {
      link: 'sacn',
    });
    expectSafe(story);
    expect(verdicts(story), reasons(story)).toEqual(['pass', 'pass']);
  });

  it('does not mind a packet that comes late, after the next one', patience, async () => {
    const late = trouble('late', 'sacn', { from: 2, once: true, seconds: 0.04 });
    const story = await inTime([late], { link: 'sacn' });
    expectSafe(story);
    expect(verdicts(story), reasons(story)).toEqual(['pass', 'pass']);
  });
});

describe.concurrent('results that a bench cannot stand behind', () => {
  it.each([
    ['overload', 'digitiser'],
    ['saturated', 'colour-sensor'],
  ] as const)('%s of the %s: an error, no figures', patience, async (kind, on) => {
    const story = await inTime([trouble(kind, on)]);
    expectSoundness(story);
    expectSafe(story);
    expect(verdicts(story), reasons(story)).toEqual(['error', 'error']);
  });
});
