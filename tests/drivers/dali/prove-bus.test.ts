import { describe, expect, it } from 'vitest';
import type { BackwardAnswer } from '../../../drivers/dali/asked-again.ts';
import { busDoubt, lossDoubt } from '../../../drivers/dali/prove-bus.ts';

/** Gear at short address 5 that keeps DTR0; `spoil` is what the bridge makes of its answers. */
function busWith(spoil: (answer: BackwardAnswer, count: number) => BackwardAnswer) {
  let dtr0 = 0;
  let count = 0;
  const told = ([first, second]: readonly [number, number]): BackwardAnswer => {
    if (first !== ((5 << 1) | 1)) return null;
    return second === 0x98 ? dtr0 : 0xff;
  };
  return {
    send: async ([first, second]: readonly [number, number]) => {
      if (first === 0xa3) dtr0 = second;
    },
    sendTwice: async () => {},
    ask: async (frame: readonly [number, number]) => spoil(told(frame), ++count),
  };
}

describe('a DALI bus whose bridge is asked to prove what it says', () => {
  it('is believed where it hands over what was said', async () => {
    expect(
      await busDoubt(
        busWith((answer) => answer),
        5,
      ),
    ).toBeNull();
    expect(
      await lossDoubt(
        busWith((answer) => answer),
        5,
      ),
    ).toBeNull();
  });

  it('is told where answers are made up', async () => {
    expect(
      await busDoubt(
        busWith((answer) => answer ?? 0xff),
        5,
      ),
    ).toMatch(/0xff came where nobody answers/);
  });

  it('is told where bits of answers are turned', async () => {
    const turned = busWith((answer) => (typeof answer === 'number' ? answer ^ 0x10 : answer));
    expect(await busDoubt(turned, 5)).toBe(
      '0x55 was written into DTR0 of the lamp and read back as 0x45, 0xaa was written into DTR0 of the lamp and read back as 0xba',
    );
  });

  it('is told where one query in twenty brings no answer', async () => {
    const lossy = busWith((answer, count) => (count % 20 === 7 ? null : answer));
    expect(await lossDoubt(lossy, 5)).toMatch(/^3 of 60 queries .* brought no answer/);
  });

  it('proves nothing where gear does not answer at all', async () => {
    const deaf = busWith(() => null);
    expect(await busDoubt(deaf, 5)).toBeNull();
    expect(await lossDoubt(deaf, 5)).toBeNull();
  });
});
