import { afterAll, expect, test } from 'vitest';
import { faults } from '../../drivers/plant/faults/faults.ts';
import { unmetNeed } from '../../harness/plan/unmet-need.ts';
import { sampled } from '../sampled.ts';
import { shippedLamp } from '../spec-language/shipped-lamp.ts';
import { closeLanes, verdictsOf } from './trial.ts';
import { variedLamps } from './varied-lamp.ts';

const varied = variedLamps();

/** Claims about frames of DMX512 and packets of sACN: each has its own mistake, and nothing else on it. */
const claims: readonly string[] = [
  ...['sacn-other-universe', 'sacn-wrong-head', 'sacn-takeover', 'sacn-sequence-wraps'],
  ...['sacn-jump-back', 'sacn-sources-apart', 'sacn-source-returns', 'sacn-takes-highest'],
  ...['sacn-priority-changes', 'sacn-other-source-ends', 'sacn-last-levels'],
  ...['sacn-other-start-codes', 'sacn-reserved-options', 'dmx-break-limits', 'dmx-frame-rates'],
  ...['signal-returns', 'dmx-short-frames', 'dmx-full-universe', 'slot-bytes'],
  ...[
    'switch-on-by-slots',
    'console-range',
    'slots-fade',
    'slots-fade-dark',
    'slots-crossfade',
    ...['slot-range', 'links-take-turns', 'supply-steps'],
    'nominal-current',
  ],
];
const patience = 120_000;

afterAll(closeLanes);

const provable = faults.filter(({ caughtBy }) => caughtBy.some((spec) => claims.includes(spec)));
for (const { id, needs, caughtBy, size, sizes } of sampled(provable, 10)) {
  const specs = caughtBy.filter((spec) => claims.includes(spec));
  const lamp = ['alcove-6', 'alcove-1', 'alcove-pwm'].find(
    (name) => unmetNeed(needs ?? {}, shippedLamp(name)) === null,
  );
  test(
    `${specs.join(' and ')} catch ${id} at its nominal size, and not where it is barely there`,
    async () => {
      const all = (verdict: string) => Object.fromEntries(specs.map((spec) => [spec, verdict]));
      const at = (own: number) =>
        verdictsOf({ ...(lamp && { lamp }), fault: { fault: id, size: own }, specs });
      expect(await at(size.nominal)).toEqual(all('fail'));
      const [smallest = size.nominal] = sizes;
      if (smallest !== size.nominal) expect(await at(smallest)).toEqual(all('pass'));
    },
    patience,
  );
}

test.each(sampled(['alcove-1', 'alcove-6', 'alcove-9', 'alcove-pwm'], 2))(
  'and a healthy %s breaks none of them',
  async (lamp) => {
    const verdicts = await verdictsOf({ lamp, fault: null, specs: claims });
    const others = Object.values(verdicts).filter(
      (own) => own !== 'pass' && own !== 'not applicable',
    );
    expect(others).toEqual([]);
    expect(Object.values(verdicts).filter((own) => own === 'pass').length).toBeGreaterThan(22);
  },
  patience,
);

test.each([
  ['at the end of its universe', /first-slot: 1,/g, 'first-slot: 499,'],
  ['with values of 8 bits', /bits: 16, on-loss/g, 'bits: 8, on-loss'],
])(
  'nor does a healthy lamp %s',
  async (_, from, to) => {
    const verdicts = await verdictsOf({
      lamp: varied('alcove-6', from, to),
      fault: null,
      specs: claims,
    });
    const others = Object.entries(verdicts).filter(
      ([, own]) => own !== 'pass' && own !== 'not applicable',
    );
    expect(others).toEqual([]);
  },
  patience,
);
