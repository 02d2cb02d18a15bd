import { expect, test } from 'vitest';
import { loadFirmware } from '../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../drivers/plant/firmware/open-firmware.ts';
import type { ConditionRecord } from '../../harness/record/run-record.ts';
import { buildSource } from './build-firmware.ts';
import { type HandMade, handMadeModule, trap } from './hand-made-module.ts';
import { claim, judge } from './judge.ts';

async function judged(bytes: Uint8Array, plan = claim('dimming/reaches-bottom')) {
  const image = await loadFirmware(bytes, 'broken.wasm');
  return judge(plan, 0, { firmware: () => openFirmware(image) });
}

const broken = buildSource('sources/broken.c');

/** Seconds on the condition's time line at which its finding says that the firmware broke down. */
function toldInstant({ findings }: ConditionRecord): number {
  const [, seconds = ''] =
    /^The firmware broke down at (\S+) s: /.exec(findings[0]?.reason ?? '') ?? [];
  return Number.parseFloat(seconds);
}

test('a firmware that traps fails its claim, with the instant and the reason, and is no bench error', async () => {
  // Its console divides by zero at the letter d, the first of `dim`.
  const condition = await judged(broken);
  expect(condition.verdict).toBe('fail');
  expect(condition.reason).toContain('broken.wasm');
  expect(condition.reason).toContain('divide by zero');
  // Ten bits at 115,200 baud after the condition began.
  expect(toldInstant(condition)).toBeLessThan(0.001);
});

test('one that breaks down after a while is told with its instant, too', async () => {
  const { conditions, ...plan } = claim('dimming/reaches-bottom');
  const stimulus = conditions[0]!.stimulus.filter(({ verb }) => verb === 'mark');
  const wait = { verb: 'hold', time: 2 } as const;
  const traps = { verb: 'send', message: { link: 'console', line: 't' } } as const;
  const only = { ...conditions[0]!, stimulus: [wait, traps, ...stimulus] };
  const condition = await judged(broken, { ...plan, conditions: [only] });
  expect(condition.verdict).toBe('fail');
  expect(toldInstant(condition)).toBeCloseTo(2, 2);
});

test.each<[string, HandMade, string]>([
  ['while it is loaded', { start: trap }, 'broken.wasm cannot start: unreachable'],
  ['in lamp_init()', { init: trap }, 'lamp_init() ended in a trap: unreachable'],
])(
  'a firmware that traps %s fails its claim, and that it was then is told',
  async (_, made, why) => {
    const { verdict, reason } = await judged(handMadeModule(made));
    expect(verdict).toBe('fail');
    expect(reason).toContain(why);
    expect(reason).toContain('while the lamp started, before the condition began');
  },
);
