import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import { dtr, send } from './dali-send.ts';
import { type Act, holdOf, inTurn } from './values.ts';

/** Beyond them firmware that counts in 16 bits, or that multiplies in 32, has overflowed; and what people use for a sunset. s */
const durations = [17, 35, 66, 70, 132] as const;
/** Codes of the table of fade times, IEC 62386-102, from 8 s to 90.5 s. */
const daliCodes = [8, 10, 12, 13, 14, 15] as const;
/** Multiplier of ten seconds (from memory), and base. */
const tensOfSeconds = 0x30;

/** Fades that take a minute or more, looked at to their end; only lamps that count the time themselves are asked for them. */
export function longActs(link: string, { links: { console } }: Lamp): Arbitrary<Act> | null {
  if (link === 'dali') return longDaliActs();
  if (link !== 'console' || !console) return null;
  return fc
    .tuple(ends(), fc.constantFrom(...durations))
    .map(
      ([[from, to], over]): Act => [
        { set: { level: `${from} %`, link } },
        { hold: '300 ms' },
        { fade: { level: `${to} %`, over: `${over} s`, wait: true, link } },
        { hold: '1 s' },
      ],
    );
}

function longDaliActs(): Arbitrary<Act> {
  const fade = fc.constantFrom(...daliCodes).map((value) => [value, 'set-fade-time'] as const);
  const extended = fc
    .integer({ min: 1, max: 6 })
    .map((tens) => [tensOfSeconds + tens, 'set-extended-fade-time'] as const);
  const level = (value: number) => send('level', { value });
  const [low, full] = [60, 254];
  return fc
    .tuple(fc.boolean(), fc.oneof(fade, extended), fc.constantFrom('24 s', '70 s', '100 s'))
    .chain(([up, [value, setting], hold]) =>
      inTurn(
        ...(setting === 'set-fade-time'
          ? []
          : [dtr('dtr0', fc.constant(0)), fc.constant(send('set-fade-time'))]),
        fc.constant(up ? send('recall-min') : send('recall-max')),
        dtr('dtr0', fc.constant(value)),
        fc.constant(send(setting)),
        fc.constant(level(up ? full : low)),
        holdOf(hold),
      ),
    );
}

/** From where to where, per cent. */
function ends(): Arbitrary<readonly [number, number]> {
  return fc.constantFrom(
    [100, 1] as const,
    [1, 100] as const,
    [10, 60] as const,
    [100, 0] as const,
  );
}
