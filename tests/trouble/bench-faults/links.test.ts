import { describe, expect, it } from 'vitest';
import type { Rig } from '../../../harness/bench/rig.ts';
import { runOne, trouble } from './run-claim.ts';

const patience = { timeout: 90_000 };

const asking = `spec: gear-answers
claim: The gear says what level it has.
stimulus:
  - set: { level: 100 %, mix: all, link: dali }
  - hold: 300 ms
  - mark: lit
  - send: { dali: query-actual-level, expect: 254 }
  - hold: 200 ms
capture:
  - { signal: light, of: light, rate: 10 kHz }
criteria:
  - { metric: dropouts, of: light, during: lit, at-most: 0 }
`;

const fading = `spec: dali-fade
claim: The gear fades in 0.71 s.
stimulus:
  - set: { level: 100 %, mix: all, link: dali }
  - hold: 300 ms
  - mark: down
  - fade: { level: 10 %, over: 0.71 s, link: dali }
  - hold: 1 s
capture:
  - { signal: light, of: light, rate: 10 kHz }
criteria:
  - { metric: fade-duration, of: light, during: down, target: 0.71 s, tolerance: ± 10 % }
`;

describe.concurrent('two gears at one short address', () => {
  it('collide: an error, not a wrong answer of the lamp', patience, async () => {
    const { verdict, reason } = await runOne(asking, { troubles: [trouble('twin', 'dali')] });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/more than one gear answers at short address 5/);
  });

  it('the healthy bus answers as expected', patience, async () => {
    const { verdict, reason } = await runOne(asking);
    expect(verdict, reason ?? '').toBe('pass');
  });
});

describe.concurrent('a bus that is cut behind its bridge', () => {
  it('is not taken for a lamp that does not answer', patience, async () => {
    const { verdict, reason } = await runOne(asking, {
      change: withoutOthers,
      troubles: [trouble('cut', 'dali')],
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/no gear answers on the bus of dali/);
    expect(reason).toMatch(/dali stayed silent after a power cycle/);
  });

  it('is not taken for a lamp that does not dim', patience, async () => {
    const { verdict, reason } = await runOne(fading, { troubles: [trouble('cut', 'dali')] });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/console answered; dali stayed silent after a power cycle/);
  });
});

describe.concurrent('a spec that takes the bus or the power away itself', () => {
  it.each([['- carry: { link: dali, on: false }'], ['- supply: { output: off }']])(
    '%s: no error',
    patience,
    async (step) => {
      const { verdict, reason } = await runOne(
        asking.replace(
          '  - hold: 200 ms',
          `  - hold: 200 ms\n  - mark: still\n  - hold: 100 ms\n  - mark: away\n  ${step}\n  - hold: 200 ms`,
        ),
      );
      expect(verdict, reason ?? '').toBe('pass');
    },
  );
});

describe.concurrent('frames that go twice through a slow bridge', () => {
  it('130 ms apart: an error with the gap', patience, async () => {
    const { verdict, reason } = await runOne(fading, {
      troubles: [trouble('apart', 'dali', { seconds: 0.13 })],
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/up to [1-9]\d\d ms, .* from the first to the second/);
  });
});

const streaming = `spec: sacn-level
claim: The lamp obeys sACN.
stimulus:
  - set: { level: 100 %, mix: all, link: sacn }
  - hold: 500 ms
  - mark: lit
  - set: { level: 50 %, link: sacn }
  - hold: 500 ms
capture:
  - { signal: light, of: light, rate: 10 kHz }
criteria:
  - { metric: dropouts, of: light, during: lit, at-most: 0 }
`;

describe.concurrent('packets of sACN', () => {
  it('that all get lost: an error, where DALI can tell', patience, async () => {
    const { verdict, reason } = await runOne(streaming, {
      emulation: { factoryFresh: true },
      troubles: [trouble('silence', 'sacn')],
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(
      /what was sent on sacn does not seem to arrive: dali says that the lamp has level 0 %/,
    );
  });

  it('that get lost from some time on: an error', patience, async () => {
    const { verdict, reason } = await runOne(streaming, {
      // The first level goes out three times; then a packet every 0.9 s.
      troubles: [trouble('silence', 'sacn', { from: 4 })],
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/the lamp has level 100 %, where 50 % was commanded, and 0 % changed/);
  });

  it('that all get lost: an error, where the sync pin is recorded', patience, async () => {
    const pin = '  - { signal: sync, of: lamp, rate: 10 kHz }\ncriteria:';
    const { verdict, reason } = await runOne(streaming.replace('criteria:', pin), {
      change: (rig) => ({ ...rig, links: { sacn: 'sacn' }, instruments: without(rig, 'dali') }),
      troubles: [trouble('silence', 'sacn')],
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/the sync pin of the lamp did not move/);
  });

  it('that arrive: no error', patience, async () => {
    const pin = '  - { signal: sync, of: lamp, rate: 10 kHz }\ncriteria:';
    const { verdict, reason } = await runOne(streaming.replace('criteria:', pin));
    expect(verdict, reason ?? '').toBe('pass');
  });
});

function without({ instruments }: Rig, name: string): Rig['instruments'] {
  return instruments.filter((instrument) => instrument.name !== name);
}

function withoutOthers(rig: Rig): Rig {
  return { ...rig, links: { dali: 'dali' } };
}
