import { describe, expect, it } from 'vitest';
import type { Trouble } from '../../../drivers/plant/emulate/trouble.ts';
import { runClaim, trouble } from './run-claim.ts';

/** EVENFALL_RANDOM_TROUBLES=1000 tries as many; npm test a few. EVENFALL_SEED draws others. */
const runs = Number(process.env['EVENFALL_RANDOM_TROUBLES'] ?? 6);
const seed = Number(process.env['EVENFALL_SEED'] ?? 23);

const claim = (link: string) => `spec: dims-by-${link}
claim: The lamp dims.
conditions:
  level: [50 %, 20 %]
stimulus:
  - set: { level: 100 %, mix: all, link: ${link} }
  - hold: 300 ms
  - mark: full
  - hold: 300 ms
  - mark: turning
  - set: { level: $level, link: ${link} }
  - hold: 300 ms
  - mark: low
  - hold: 700 ms
capture:
  - { signal: light, of: light, rate: 10 kHz }
criteria:
  - { metric: level-ratio, of: light, during: low, reference: full, target: $level, tolerance: ± 30 % }
  - { metric: dropouts, of: light, during: low, at-most: 0 }
`;

/** A generator of 32 bits: the same runs for the same seed. */
function generator(state: number): () => number {
  let present = state;
  return () => {
    present = (Math.imul(present, 1664525) + 1013904223) >>> 0;
    return present / 2 ** 32;
  };
}

const ofReplies = ['silence', 'late', 'garbage', 'half', 'drip', 'reset', 'vanish'] as const;
const kindsOf: Readonly<Record<string, readonly Trouble['kind'][]>> = {
  supply: [...ofReplies, 'reboot', 'trip', 'hiccup', 'sag'],
  digitiser: ofReplies,
  console: ofReplies,
  dali: [...ofReplies, 'twin', 'twin-unseen', 'cut', 'apart'],
  sacn: ['silence'],
};

function draws(count: number): readonly (readonly [string, string, Trouble])[] {
  const draw = generator(seed);
  const pick = <T>(list: readonly T[]): T => {
    const one = list[Math.floor(draw() * list.length)];
    if (one === undefined) throw new Error('expected a list with something in it');
    return one;
  };
  return Array.from({ length: count }, () => {
    const link = pick(['console', 'dali', 'sacn']);
    const on = pick(['supply', link, link, 'digitiser']);
    const kind = pick(kindsOf[on] ?? ofReplies);
    const seconds = { late: 3 * draw(), hiccup: 0.2 * draw(), sag: draw(), apart: 0.13 };
    const one = trouble(kind, on, {
      from: 1 + Math.floor(draw() * 14),
      once: draw() < 0.5,
      seconds: kind in seconds ? seconds[kind as keyof typeof seconds] : 0.1,
      after: 0.2 + 2 * draw(),
    });
    const { from, once } = one;
    return [link, `${kind} on ${on} from ${from}${once ? ', once' : ''}`, one] as const;
  });
}

describe.concurrent('a healthy lamp under random troubles at random moments', () => {
  it.each(draws(runs))(
    'by %s: %s: never a failure of the lamp',
    {
      timeout: 300_000,
    },
    async (link, _, one) => {
      const conditions = await runClaim(claim(link), { troubles: [one], deadline: 2 });
      const reasons = conditions.map(({ reason }) => reason).join(' | ');
      const verdicts = conditions.map(({ verdict }) => verdict);
      expect(verdicts, reasons).not.toContain('fail');
    },
  );
});
