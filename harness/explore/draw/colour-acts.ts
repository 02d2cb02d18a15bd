import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { dtr, send } from './dali-send.ts';
import { type Act, byte, inTurn, mostly, oneOfActs } from './values.ts';

/** Colours by DALI, IEC 62386-209: temperatures and their steps, primaries, levels of red, green, blue, …; activated or not. */
export function colourActs({ links, channels }: Lamp): Arbitrary<Act> {
  const { tunableWhite, rgbwaf } = links.dali ?? {};
  const activate = fc.constant(send('activate'));
  const registers = inTurn(dtr('dtr0', byte), dtr('dtr1', byte), dtr('dtr2', byte));
  const primary = inTurn(
    dtr('dtr0', byte),
    dtr('dtr1', byte),
    dtr('dtr2', fc.nat(channels.length - 1)),
    fc.constant(send('set-temporary-primary')),
  );
  const whites = tunableWhite ? temperatures(tunableWhite) : null;
  return oneOfActs([
    [2, primary],
    [2, inTurn(primary, activate)],
    [1, inTurn(primary, primary, activate)],
    [1, activate],
    ...(rgbwaf
      ? ([
          [1, inTurn(registers, fc.constant(send('set-temporary-rgb')), activate)],
          [1, inTurn(registers, fc.constant(send('set-temporary-waf')), activate)],
        ] as const)
      : []),
    ...(whites
      ? ([
          [3, whites],
          [4, inTurn(fc.constant(send('recall-max')), whites)],
        ] as const)
      : []),
    [1, fc.constantFrom('step-cooler', 'step-warmer').map((name) => send(name))],
    [
      1,
      fc
        .constantFrom('query-colour-status', 'query-colour-type-features', 'query-colour-value')
        .map((name) => send(name)),
    ],
    [1, inTurn(dtr('dtr0', fc.constantFrom(2, 128, 130)), fc.constant(send('query-colour-value')))],
  ]);
}

function temperatures(range: {
  readonly warmest: number;
  readonly coolest: number;
}): Arbitrary<WrittenStep> {
  const { warmest, coolest } = range;
  const kelvin = mostly(
    [warmest, coolest, 3000, 3500, 4000, 5000].filter((own) => own >= warmest && own <= coolest),
    fc.integer({ min: warmest, max: coolest }),
  );
  return kelvin.map((own) => ({ white: { temperature: `${own} K` } }));
}
