import { describe, expect, it } from 'vitest';
import type { Rig } from '../../../harness/bench/rig.ts';
import { runOne, trouble } from './run-claim.ts';

const patience = { timeout: 90_000 };

const lit = (capture: string, metric: string): string => `spec: lit
claim: The lamp is as bright as it should be.
stimulus:
  - hold: 600 ms
  - set: { level: 100 %, mix: all, link: console }
  - hold: 500 ms
  - mark: full
  - hold: 700 ms
  - set: { level: 50 % }
  - hold: 500 ms
  - mark: half
  - hold: 700 ms
capture:
${capture}
criteria:
  - ${metric}
`;

const light = lit(
  '  - { signal: light, of: light, rate: 10 kHz }',
  '{ metric: level-ratio, of: light, during: half, reference: full, between: [20 %, 80 %] }',
);

const withColour = light.replace(
  'capture:\n',
  'capture:\n  - { signal: colour, of: lamp, integration: 100 ms, every: 250 ms }\n',
);

/** Dead inputs are all dead here; the voltage at the lamp would be the first to contradict the supply. */
const withoutVoltage = (rig: Rig): Rig => ({
  ...rig,
  wiring: rig.wiring.filter(({ signal }) => signal !== 'supply-voltage'),
});

describe.concurrent('an input that sees no light while the lamp is lit', () => {
  it.each(['noise-only', 'ac-coupled'] as const)(
    '%s: an error that names the input and what the supply says',
    patience,
    async (kind) => {
      const { verdict, reason, findings } = await runOne(light, {
        change: withoutVoltage,
        troubles: [trouble(kind, 'digitiser')],
      });
      expect(verdict, reason ?? '').toBe('error');
      expect(findings).toEqual([]);
      expect(reason).toMatch(/^digitiser: input 10 reads a mean of .* lx/);
      expect(reason).toMatch(
        /the supply says that it draws [1-9][\d.]* A then, and 0\.\d+ A while/,
      );
    },
  );

  it('is told by the colour where there is no supply to ask', patience, async () => {
    const { verdict, reason } = await runOne(withColour, {
      change: withoutVoltage,
      troubles: [trouble('noise-only', 'digitiser')],
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/the colour sensor reads [\d.]+ lx/);
  });

  it('lets a sound one pass', patience, async () => {
    const { verdict, reason } = await runOne(light);
    expect(verdict, reason ?? '').toBe('pass');
  });
});

describe.concurrent('a digitiser whose clock is 6 % fast', () => {
  // Over a slow line its end is looked for too late to tell.
  it.each([0, 0.04])(
    'is found by the clock of the computer, %f s away',
    patience,
    async (seconds) => {
      const fast = trouble('fast-clock', 'digitiser');
      const troubles = seconds > 0 ? [fast, trouble('held-up', 'digitiser', { seconds })] : [fast];
      const { verdict, reason } = await runOne(light.replaceAll('700 ms', '2 s'), { troubles });
      expect(verdict, reason ?? '').toBe('error');
      expect(reason).toMatch(
        /^digitiser: .*(its sample clock is fast by [\d.]+ % or more|its time base is not what it says)/,
      );
    },
  );

  it.each([
    ['light and pin', (rig: Rig) => rig],
    [
      'light alone',
      (rig: Rig) => ({ ...rig, wiring: rig.wiring.filter(({ signal }) => signal !== 'sync') }),
    ],
    [
      'light alone, by DALI',
      (rig: Rig) => ({
        ...rig,
        links: { dali: 'dali' },
        wiring: rig.wiring.filter(({ signal }) => signal !== 'sync'),
      }),
    ],
  ])(
    'and says that it is done when that would be right: by commands, %s',
    patience,
    async (_, change) => {
      const { verdict, reason } = await runOne(light.replace(', link: console', ''), {
        change,
        troubles: [trouble('fast-clock-held', 'digitiser')],
      });
      expect(verdict, reason ?? '').toBe('error');
      expect(reason).toMatch(
        /^digitiser: its time base is not what it says: .* [56]\.\d+ % longer/,
      );
    },
  );
});
