import { describe, expect, test } from 'vitest';
import { ReferenceFirmware } from '../../../../drivers/plant/firmware/reference.ts';
import { healthyFirmware } from '../../../../drivers/plant/firmware/traits.ts';
import { alcove } from './alcove.ts';
import { BareLamp } from './bare-lamp.ts';

const [level, command] = [0x0a, 0x0b];

function gear(own = alcove): BareLamp {
  const lamp = new BareLamp(new ReferenceFirmware(own, healthyFirmware));
  lamp.run(0.7);
  return lamp;
}

/** A configuration command: DTR0, then the command twice, 30 ms apart as on the bus. */
function configure(lamp: BareLamp, code: number, value?: number): void {
  if (value !== undefined) lamp.dali(0xa3, value);
  lamp.dali(command, code);
  lamp.run(0.03);
  lamp.dali(command, code);
  lamp.run(0.03);
}

const ask = (lamp: BareLamp, code: number) => lamp.dali(command, code);
const percentOf = (lamp: BareLamp) => lamp.light(0) * 100;

// Per cent of the logarithmic curve: IEC 62386-102, formula confirmed in public texts, digits computed from it.
test.each([
  [1, 0.1],
  [60, 0.500731],
  [85, 0.99094],
  [126, 3.035383],
  [170, 10.091427],
  [229, 50.530932],
  [254, 100],
])('level %i gives %f per cent of light', (code, percent) => {
  const lamp = gear();
  lamp.dali(level, code);
  // An eighth of a modulator code is 0.0002 % of full light.
  expect(Math.abs(percentOf(lamp) - percent)).toBeLessThan(0.0002 + percent * 1e-4);
  expect(ask(lamp, 0xa0)).toBe(code);
});

// IEC 62386-102 9.5, confirmed: T = 0.5 s * sqrt(2^n); the standard's tolerance is 10 % (from memory), ours one tick.
test.each([
  [1, 707],
  [2, 1000],
  [3, 1414],
  [4, 2000],
  [5, 2828],
  [6, 4000],
  [7, 5657],
  [8, 8000],
  [9, 11314],
  [10, 16000],
  [11, 22627],
  [12, 32000],
  [13, 45255],
  [14, 64000],
  [15, 90510],
])('fade time code %i fades for %i ms', (code, milliseconds) => {
  const lamp = gear();
  configure(lamp, 0x2e, code);
  lamp.dali(level, 254);
  const began = lamp.time;
  let ended = 0;
  lamp.run(milliseconds / 1000 + 0.1, (time) => {
    if (lamp.drives[0] === 65536 && ended === 0) ended = time;
  });
  expect(Math.abs((ended - began) * 1000 - milliseconds)).toBeLessThan(1.6);
});

test('half-way from 1 to 254 lies 3.16 %, not 50 %', () => {
  const lamp = gear();
  lamp.dali(level, 1);
  lamp.run(0.01);
  configure(lamp, 0x2e, 4);
  lamp.dali(level, 254);
  lamp.run(1);
  // Computed: level 127.5 of the logarithmic curve.
  expect(lamp.drives[0]! / 655.36).toBeCloseTo(3.16, 1);
  expect(ask(lamp, 0x90)! & 0x10).toBe(0x10);
});

// IEC 62386-102 9.5 (confirmed): 506 / sqrt(2^n) levels a second, UP and DOWN run for 200 ms.
test.each([
  [1, 71.6],
  [2, 50.6],
  [4, 25.3],
  [7, 8.94],
  [10, 3.16],
  [13, 1.12],
])('fade rate code %i: UP and DOWN move by %f levels', (code, levels) => {
  const lamp = gear();
  lamp.dali(level, 128);
  configure(lamp, 0x2f, code);
  lamp.dali(command, 0x01);
  lamp.run(0.4);
  expect(Math.abs(ask(lamp, 0xa0)! - 128 - levels)).toBeLessThanOrEqual(0.5);
  lamp.dali(command, 0x02);
  lamp.run(0.4);
  expect(ask(lamp, 0xa0)).toBe(128);
});

describe('send twice', () => {
  // IEC 62386-102, confirmed: within 100 ms, and no other frame between.
  test.each([
    ['once', [[0, 0x2a]], 254],
    [
      'twice within 100 ms',
      [
        [0, 0x2a],
        [0.099, 0x2a],
      ],
      200,
    ],
    [
      'twice beyond 100 ms',
      [
        [0, 0x2a],
        [0.102, 0x2a],
      ],
      254,
    ],
    [
      'with a query between',
      [
        [0, 0x2a],
        [0.03, 0xa0],
        [0.03, 0x2a],
      ],
      254,
    ],
    [
      'three times, the last two in time',
      [
        [0, 0x2a],
        [0.2, 0x2a],
        [0.05, 0x2a],
      ],
      200,
    ],
  ] as const)('SET MAX %s', (_, frames, max) => {
    const lamp = gear();
    lamp.dali(0xa3, 200);
    for (const [wait, code] of frames) {
      lamp.run(wait);
      lamp.dali(command, code);
    }
    expect(ask(lamp, 0xa1)).toBe(max);
  });
});

describe('limits', () => {
  test('levels are clamped to MIN and MAX, with a limit error', () => {
    const lamp = gear();
    configure(lamp, 0x2a, 200);
    configure(lamp, 0x2b, 100);
    for (const [asked, actual, error] of [
      [254, 200, 0xff],
      [50, 100, 0xff],
      [150, 150, null],
      [0, 0, null],
    ] as const) {
      lamp.dali(level, asked);
      lamp.run(0.002);
      expect([ask(lamp, 0xa0), ask(lamp, 0x94)]).toEqual([actual, error]);
    }
    lamp.dali(command, 0x05);
    lamp.run(0.002);
    expect(ask(lamp, 0xa0)).toBe(200);
    lamp.dali(command, 0x07);
    lamp.run(0.002);
    expect(ask(lamp, 0xa0)).toBe(199);
  });

  test('MIN and MAX hold each other, and the present level', () => {
    const lamp = gear();
    lamp.dali(level, 254);
    lamp.run(0.002);
    configure(lamp, 0x2a, 180);
    expect(ask(lamp, 0xa0)).toBe(180);
    configure(lamp, 0x2b, 220);
    expect(ask(lamp, 0xa2)).toBe(180);
    configure(lamp, 0x2b, 0);
    expect(ask(lamp, 0xa2)).toBe(1);
  });
});

describe('addressing', () => {
  test.each([
    ['its short address', 0x0a, true],
    ['another short address', 0x0c, false],
    ['its group', 0x84, true],
    ['another group', 0x86, false],
    ['everyone', 0xfe, true],
    ['those without address', 0xfc, false],
  ])('%s', (_, address, ours) => {
    const lamp = gear();
    lamp.dali(address, 254);
    lamp.run(0.002);
    expect(lamp.drives[0]).toBe(ours ? 65536 : 0);
  });

  test('a group can be joined and left, an address changed and deleted', () => {
    const lamp = gear();
    configure(lamp, 0x61);
    configure(lamp, 0x72);
    expect([ask(lamp, 0xc0), ask(lamp, 0xc1)]).toEqual([2, 0]);
    lamp.dali(0xa3, (9 << 1) | 1);
    configure(lamp, 0x80);
    expect(lamp.dali(0x0b, 0x91)).toBeNull();
    expect(lamp.dali(0x13, 0x91)).toBe(0xff);
    lamp.dali(0xa3, 255);
    for (let copy = 0; copy < 2; copy++) lamp.dali(0x13, 0x80);
    expect(lamp.dali(0xfd, 0x96)).toBe(0xff);
  });

  test('24 bit frames are not for gear', () => {
    const lamp = gear();
    lamp.dali(0xfe, 254, 254);
    expect(lamp.drives[0]).toBe(0);
  });
});

test('DOWN is back within MAX after 200 ms from a light that another link had left above it', () => {
  const lamp = gear();
  configure(lamp, 0x2a, 126);
  lamp.say('dim 100 mix 100 100 100 100 100 100');
  lamp.run(0.1);
  lamp.dali(command, 0x02);
  lamp.run(0.21);
  expect(percentOf(lamp)).toBeCloseTo(3.035, 2);
});

test('levels step, switch off at the bottom and on again', () => {
  const lamp = gear();
  const after = (code: number) => {
    lamp.dali(command, code);
    lamp.run(0.002);
    return ask(lamp, 0xa0);
  };
  expect([after(0x03), after(0x08), after(0x03), after(0x04), after(0x07)]).toEqual([
    0, 1, 2, 1, 0,
  ]);
  expect([after(0x06), after(0x05), after(0x00), after(0x0a)]).toEqual([1, 254, 0, 254]);
});

test('scenes are stored, called, and left out when removed', () => {
  const lamp = gear();
  configure(lamp, 0x43, 170);
  expect(ask(lamp, 0xb3)).toBe(170);
  lamp.dali(command, 0x13);
  lamp.run(0.002);
  expect(ask(lamp, 0xa0)).toBe(170);
  configure(lamp, 0x53);
  lamp.dali(level, 100);
  lamp.dali(command, 0x13);
  lamp.run(0.002);
  expect(ask(lamp, 0xa0)).toBe(100);
});

test('255 stops a running fade where it is', () => {
  const lamp = gear();
  configure(lamp, 0x2e, 4);
  lamp.dali(level, 254);
  lamp.run(1);
  lamp.dali(level, 255);
  const held = lamp.drives[0]!;
  lamp.run(1.5);
  expect(lamp.drives[0]! / held).toBeCloseTo(1, 2);
});

test('a DAPC sequence fades from level to level in 200 ms', () => {
  const lamp = gear();
  lamp.dali(level, 100);
  lamp.dali(command, 0x09);
  lamp.run(0.1);
  lamp.dali(level, 200);
  lamp.run(0.1);
  expect(ask(lamp, 0xa0)).toBe(150);
  lamp.run(0.11);
  expect(ask(lamp, 0xa0)).toBe(200);
  lamp.run(0.3);
  lamp.dali(level, 100);
  lamp.run(0.002);
  expect(ask(lamp, 0xa0)).toBe(100);
});

test('a step ends a DAPC sequence, also one that finds the lamp dark', () => {
  const lamp = gear();
  lamp.dali(level, 0);
  lamp.dali(command, 0x09);
  lamp.dali(command, 0x03);
  lamp.dali(level, 200);
  lamp.run(0.002);
  expect(ask(lamp, 0xa0)).toBe(200);
});

describe('status', () => {
  test('tells of power cycle, reset state and light', () => {
    const lamp = gear();
    // A new lamp has a group, and levels of its own for power and bus: it is not as RESET leaves it.
    expect(ask(lamp, 0x90)).toBe(0x80);
    lamp.dali(level, 254);
    lamp.run(0.002);
    expect(ask(lamp, 0x90)).toBe(0x04);
    configure(lamp, 0x20);
    expect(ask(lamp, 0x90)).toBe(0x04 | 0x20);
    configure(lamp, 0x2f, 3);
    expect(ask(lamp, 0x90)).toBe(0x04);
  });

  test('is still as RESET left it when the power comes back', () => {
    const lamp = gear();
    configure(lamp, 0x20);
    lamp.run(2);
    lamp.restart();
    lamp.run(2);
    expect(ask(lamp, 0x95)).toBe(0xff);
  });

  test('RESET lights the lamp and takes back groups and levels, whatever they were', () => {
    const lamp = gear();
    configure(lamp, 0x2d, 7);
    configure(lamp, 0x20);
    lamp.run(0.002);
    expect([0xa0, 0xa3, 0xa4, 0xc0].map((query) => ask(lamp, query))).toEqual([254, 254, 254, 0]);
  });

  test('0xa3 is DTR0 as a special command, and the power-on level as a query', () => {
    const lamp = gear();
    lamp.dali(0xa3, 99);
    expect(ask(lamp, 0x98)).toBe(99);
    expect(ask(lamp, 0xa3)).toBe(255);
  });
});

describe('after power', () => {
  test('the power-on level comes after 0.6 s, unless a command was quicker', () => {
    const lamp = gear();
    lamp.dali(level, 254);
    configure(lamp, 0x2d, 170);
    lamp.restart();
    lamp.run(0.5);
    expect(lamp.drives[0]).toBe(0);
    lamp.run(0.15);
    expect(percentOf(lamp)).toBeCloseTo(10.091, 2);
    lamp.restart();
    lamp.run(0.1);
    lamp.dali(level, 1);
    lamp.run(1);
    expect(percentOf(lamp)).toBeCloseTo(0.1, 3);
  });

  test('a bus that is dead as the power comes brings the system failure level, and no power-on level after it', () => {
    const lamp = gear();
    configure(lamp, 0x2d, 170);
    configure(lamp, 0x2c, 85);
    lamp.run(1);
    lamp.restart();
    lamp.receive({ link: 'dali', event: 'bus', powered: false });
    lamp.run(1);
    expect(percentOf(lamp)).toBeCloseTo(0.991, 2);
  });

  test('a bus that came back while the lamp had no power is not dead for a later restart', () => {
    const lamp = gear();
    configure(lamp, 0x2c, 85);
    lamp.dali(level, 254);
    lamp.run(1);
    lamp.receive({ link: 'dali', event: 'bus', powered: false });
    lamp.restart();
    lamp.run(1);
    lamp.say('restart');
    lamp.run(2);
    expect(percentOf(lamp)).toBeCloseTo(100, 2);
  });

  test('the last level is kept while the power-on level is still to come', () => {
    const lamp = gear();
    lamp.dali(level, 254);
    configure(lamp, 0x2d, 85);
    lamp.run(1);
    lamp.restart();
    lamp.run(0.2);
    configure(lamp, 0x2d, 255);
    lamp.restart();
    lamp.run(1);
    expect(percentOf(lamp)).toBeCloseTo(100, 2);
  });

  test('any command for the level ends the report of a power cycle, also one that moves nothing', () => {
    const lamp = gear();
    configure(lamp, 0x2d, 254);
    lamp.run(1);
    lamp.restart();
    lamp.run(1);
    expect(ask(lamp, 0x9b)).toBe(255);
    ask(lamp, 0x01);
    expect(percentOf(lamp)).toBeCloseTo(100, 2);
    expect(ask(lamp, 0x9b)).toBeNull();
  });

  test('the power-on level comes with the colour that there is: one that waits waits on', () => {
    const lamp = gear();
    configure(lamp, 0x2d, 254);
    lamp.run(1);
    lamp.restart();
    lamp.run(0.4);
    for (const [address, code] of [
      [0xa3, 0],
      [0xc3, 0],
      [0xc5, 0],
      [0xc1, 8],
      [command, 0xea],
    ] as const)
      lamp.dali(address, code);
    lamp.run(0.5);
    expect(percentOf(lamp)).toBeCloseTo(100, 2);
    lamp.dali(level, 254);
    lamp.run(0.1);
    expect(percentOf(lamp)).toBe(0);
  });

  test('MASK brings the last level back, and registers are kept', () => {
    const lamp = gear();
    configure(lamp, 0x2b, 50);
    lamp.dali(level, 170);
    lamp.restart();
    lamp.run(0.4);
    expect(percentOf(lamp)).toBeCloseTo(10.091, 2);
    expect(ask(lamp, 0xa2)).toBe(50);
  });
});

describe('colour (IEC 62386-209)', () => {
  test('is not there in a lamp of more channels than primaries, without whites or colours', () => {
    const { tunableWhite: _, ...plain } = alcove.links.dali ?? { shortAddress: 5 };
    const more = [...alcove.channels, { ...alcove.channels[0]!, channel: 'rose' }];
    const lamp = new BareLamp(
      new ReferenceFirmware(
        { ...alcove, channels: more, links: { ...alcove.links, dali: plain } },
        healthyFirmware,
      ),
      7,
    );
    lamp.run(0.7);
    expect(ask(lamp, 0x99)).toBe(254);
    lamp.dali(0xc1, 8);
    expect(ask(lamp, 0xf8)).toBe(null);
    const own = gear();
    expect(ask(own, 0x99)).toBe(8);
    own.dali(0xc1, 8);
    expect(ask(own, 0xf8)).not.toBe(null);
  });

  const colour = (lamp: BareLamp, code: number) => {
    lamp.dali(0xc1, 8);
    return lamp.dali(command, code);
  };
  const temperature = (lamp: BareLamp, mirek: number) => {
    lamp.dali(0xa3, mirek & 255);
    lamp.dali(0xc3, mirek >> 8);
    colour(lamp, 0xe7);
  };

  test('a colour temperature starts with the next level, and can be asked back', () => {
    const lamp = gear();
    temperature(lamp, 250);
    expect(lamp.drives[0]).toBe(0);
    lamp.dali(level, 254);
    lamp.run(0.002);
    const [warm, cool, ...others] = lamp.drives.map((drive) => drive / 65536);
    // 250 mirek are 4000 K. CIE 15 mixing of the two whites, then McCamy 1992 (formula from memory): within 20 K.
    const light = [warm! * 620, cool! * 680] as const;
    const weights = [light[0] / 0.4101, light[1] / 0.3283] as const;
    const x = (weights[0] * 0.4578 + weights[1] * 0.3123) / (weights[0] + weights[1]);
    const y = (light[0] + light[1]) / (weights[0] + weights[1]);
    const n = (x - 0.332) / (0.1858 - y);
    expect(Math.abs(449 * n ** 3 + 3525 * n ** 2 + 6823.3 * n + 5520.33 - 4000)).toBeLessThan(20);
    expect(others).toEqual([0, 0, 0, 0]);
    lamp.dali(0xa3, 2);
    expect([colour(lamp, 0xfa), ask(lamp, 0x98)]).toEqual([0, 250]);
    expect(colour(lamp, 0xf8)).toBe(0x20);
  });

  test('RESET forgets the colour that waits', () => {
    const lamp = gear();
    lamp.dali(level, 254);
    lamp.run(0.002);
    const before = [...lamp.drives];
    temperature(lamp, 154);
    configure(lamp, 0x20);
    lamp.run(0.002);
    expect([...lamp.drives]).toEqual(before);
    colour(lamp, 0xe2);
    lamp.run(0.002);
    expect([...lamp.drives]).toEqual(before);
  });

  test('temperatures beyond the limits are held and told', () => {
    const lamp = gear();
    temperature(lamp, 100);
    colour(lamp, 0xe2);
    expect(colour(lamp, 0xf8)).toBe(0x22);
    lamp.dali(0xa3, 128);
    expect([colour(lamp, 0xfa), ask(lamp, 0x98)]).toEqual([0, 154]);
  });

  test('primaries reach their channels; a command without ENABLE DEVICE TYPE 8 does not', () => {
    const lamp = gear();
    for (const [primary, value] of [0, 32767, 65534, 0, 0, 0].entries()) {
      lamp.dali(0xa3, value & 255);
      lamp.dali(0xc3, value >> 8);
      lamp.dali(0xc5, primary);
      colour(lamp, 0xea);
    }
    lamp.dali(0xc5, 0);
    lamp.dali(command, 0xea);
    lamp.dali(level, 254);
    lamp.run(0.002);
    expect(lamp.drives).toEqual([0, 32768, 65536, 0, 0, 0]);
  });

  test('red, green and blue, white, amber and free colour go to the channels that the lamp file names', () => {
    const rgbwaf = ['red', 'lime', 'indigo', 'cool'];
    const lamp = gear({
      ...alcove,
      links: { dali: { ...alcove.links.dali, shortAddress: 5, rgbwaf } },
    });
    const colours = (code: number, ...levels: number[]) => {
      for (const [index, level] of levels.entries()) lamp.dali([0xa3, 0xc3, 0xc5][index]!, level);
      colour(lamp, code);
    };
    // Alcove-6: red, lime and indigo are its red, green and blue, cool its white; 255 is "no change".
    colours(0xec, 127, 254, 254);
    colours(0xeb, 254, 0, 255);
    lamp.dali(level, 254);
    lamp.run(0.002);
    expect(lamp.drives).toEqual([65536, 32768, 65536, 0, 65536, 65536]);
    expect(colour(lamp, 0xf8)).toBe(0x80);
    // Bit 1 a temperature, bits 2 to 4 six primaries, bits 5 to 7 four colours.
    expect(colour(lamp, 0xf9)).toBe(0x02 | (6 << 2) | (4 << 5));
  });
});

test('a step of the colour temperature is there at once, whatever the fade time (IEC 62386-209 11.3.4, from memory)', () => {
  const lamp = gear();
  configure(lamp, 0x2e, 4);
  lamp.dali(level, 254);
  lamp.run(3);
  for (const value of [250, 0]) lamp.dali(value === 0 ? 0xc3 : 0xa3, value);
  for (const code of [0xe7, 0xe2]) {
    lamp.dali(0xc1, 8);
    ask(lamp, code);
  }
  lamp.run(0.1);
  expect(ask(lamp, 0x90)).toBe(0x14);
  lamp.run(3);
  lamp.dali(0xc1, 8);
  ask(lamp, 0xe8);
  lamp.run(0.1);
  expect(ask(lamp, 0x90)).toBe(0x04);
});
