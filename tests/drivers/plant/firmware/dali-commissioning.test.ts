import { beforeAll, describe, expect, test } from 'vitest';
import { opcode, special } from '../../../../drivers/dali/opcodes.ts';
import type { Firmware } from '../../../../drivers/plant/firmware/firmware.ts';
import type { FirmwareImage } from '../../../../drivers/plant/firmware/firmware-image.ts';
import { loadFirmware } from '../../../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../../../drivers/plant/firmware/open-firmware.ts';
import { ReferenceFirmware } from '../../../../drivers/plant/firmware/reference.ts';
import { healthyFirmware } from '../../../../drivers/plant/firmware/traits.ts';
import { buildAlcove } from '../../../firmware/build-firmware.ts';
import { alcove } from './alcove.ts';
import { BareLamp } from './bare-lamp.ts';

// IEC 62386-102: opcodes, send-twice and memory reading are confirmed in public texts; the conditions of the
// commissioning commands, 15 minutes and the layout of the banks are from memory.

let image: FirmwareImage;
beforeAll(async () => {
  image = await loadFirmware(buildAlcove(), 'alcove');
});

const firmwares: Record<string, (serial?: number) => Firmware> = {
  'the reference firmware': (serial) => new ReferenceFirmware(alcove, healthyFirmware, serial),
  'the example in C': () => openFirmware(image),
};

function started(firmware: Firmware): BareLamp {
  const lamp = new BareLamp(firmware);
  lamp.run(0.7);
  return lamp;
}

/** All gear of one bus hears every frame; any answer is an answer. */
class Bus {
  readonly lamps: readonly BareLamp[];

  constructor(...lamps: readonly BareLamp[]) {
    this.lamps = lamps;
  }

  frame(first: number, second: number, wait = 0.03): number | null {
    const answers = this.lamps.map((lamp) => lamp.dali(first, second));
    this.wait(wait);
    return answers.find((answer) => answer !== null) ?? null;
  }

  twice(first: number, second: number, apart = 0.03): void {
    this.frame(first, second, apart);
    this.frame(first, second);
  }

  wait(seconds: number): void {
    for (const lamp of this.lamps) lamp.run(seconds);
  }

  ask(code: number): number | null {
    return this.frame(0xff, code);
  }

  search(address: number): void {
    this.frame(special.searchHigh, address >> 16);
    this.frame(special.searchMiddle, (address >> 8) & 0xff);
    this.frame(special.searchLow, address & 0xff);
  }

  compare(address: number): boolean {
    this.search(address);
    return this.frame(special.compare, 0) === 0xff;
  }

  /** The lowest random address of the gear that takes part, by bisection; null when none does. */
  lowest(): number | null {
    if (!this.compare(0xffffff)) return null;
    let [low, high] = [0, 0xffffff];
    while (low < high) {
      const middle = (low + high) >>> 1;
      if (this.compare(middle)) high = middle;
      else low = middle + 1;
    }
    this.search(low);
    return low;
  }

  /** INITIALISE for all, RANDOMISE. */
  open(): void {
    this.twice(special.initialise, 0);
    this.twice(special.randomise, 0);
  }

  random(): number {
    const bytes = [opcode.queryRandomHigh, opcode.queryRandomMiddle, opcode.queryRandomLow];
    return bytes.reduce((sum, code) => (sum << 8) | (this.ask(code) ?? 0), 0);
  }
}

const short = (address: number) => (address << 1) | 1;

describe.each(Object.keys(firmwares))('%s', (name) => {
  const bus = () => new Bus(started(firmwares[name]!(1)));

  describe('commissioning', () => {
    test.each([
      ['once', 0, 0, false],
      ['twice, 100 ms apart', 0.1, 0, true],
      ['twice, 101 ms apart', 0.101, 0, false],
      ['twice with another frame between', 0.03, 1, false],
    ])('INITIALISE that comes %s', (_, apart, between, opened) => {
      const lamp = bus();
      lamp.frame(special.initialise, 0, apart);
      for (let k = 0; k < between; k++) lamp.frame(special.dtr0, 0);
      if (apart > 0) lamp.frame(special.initialise, 0);
      expect(lamp.compare(0xffffff)).toBe(opened);
    });

    test.each([
      ['twice, 100 ms apart', 0.1, true],
      ['twice, 101 ms apart', 0.101, false],
    ])('RANDOMISE that comes %s', (_, apart, drawn) => {
      const lamp = bus();
      lamp.twice(special.initialise, 0);
      lamp.twice(special.randomise, 0, apart);
      expect(lamp.random() !== 0xffffff).toBe(drawn);
    });

    test('nothing happens without INITIALISE', () => {
      const lamp = bus();
      lamp.twice(special.randomise, 0);
      expect(lamp.random()).toBe(0xffffff);
      expect(lamp.compare(0xffffff)).toBe(false);
      lamp.frame(special.programShortAddress, short(9));
      expect(lamp.frame(special.verifyShortAddress, short(5))).toBe(null);
      expect(lamp.frame(special.queryShortAddress, 0)).toBe(null);
      expect(lamp.frame(short(5), opcode.queryGearPresent)).toBe(0xff);
    });

    test('INITIALISE speaks to all, to gear without an address, or to one address', () => {
      for (const [data, opened] of [
        [0, true],
        [0xff, false],
        [short(5), true],
        [short(6), false],
        [short(5) - 1, false],
      ] as const) {
        const lamp = bus();
        lamp.twice(special.initialise, data);
        expect(lamp.compare(0xffffff), String(data)).toBe(opened);
      }
      const nameless = bus();
      nameless.frame(special.dtr0, 0xff);
      nameless.twice(0xff, opcode.setShortAddress);
      nameless.twice(special.initialise, 0xff);
      expect(nameless.compare(0xffffff)).toBe(true);
    });

    test('COMPARE is true from the random address on, and bisection finds it', () => {
      const lamp = bus();
      lamp.open();
      const random = lamp.random();
      expect(random).toBeGreaterThan(0);
      expect(random).toBeLessThan(0xffffff);
      expect(lamp.compare(random)).toBe(true);
      expect(lamp.compare(random - 1)).toBe(false);
      expect(lamp.lowest()).toBe(random);
    });

    test('PROGRAM, VERIFY and QUERY SHORT ADDRESS', () => {
      const lamp = bus();
      lamp.open();
      lamp.search(lamp.random() - 1);
      lamp.frame(special.programShortAddress, short(9));
      expect(lamp.frame(special.verifyShortAddress, short(9))).toBe(null);
      expect(lamp.frame(special.queryShortAddress, 0)).toBe(null);
      lamp.search(lamp.random());
      expect(lamp.frame(special.queryShortAddress, 0)).toBe(short(5));
      lamp.frame(special.programShortAddress, short(9));
      expect(lamp.frame(special.verifyShortAddress, short(9))).toBe(0xff);
      expect(lamp.frame(special.verifyShortAddress, short(5))).toBe(null);
      expect(lamp.frame(special.queryShortAddress, 0)).toBe(short(9));
      expect(lamp.frame(short(9), opcode.queryGearPresent)).toBe(0xff);
      expect(lamp.frame(short(5), opcode.queryGearPresent)).toBe(null);
      lamp.frame(special.programShortAddress, 0x83);
      expect(lamp.frame(special.queryShortAddress, 0)).toBe(short(9));
      lamp.frame(special.programShortAddress, 0xff);
      expect(lamp.frame(special.queryShortAddress, 0)).toBe(0xff);
      expect(lamp.ask(opcode.queryMissingShortAddress)).toBe(0xff);
    });

    test('WITHDRAW takes the one that was found out of the search, until INITIALISE', () => {
      const lamp = bus();
      lamp.open();
      lamp.search(lamp.random() + 1);
      lamp.frame(special.withdraw, 0);
      expect(lamp.compare(0xffffff)).toBe(true);
      lamp.search(lamp.random());
      lamp.frame(special.withdraw, 0);
      expect(lamp.compare(0xffffff)).toBe(false);
      expect(lamp.frame(special.verifyShortAddress, short(5))).toBe(0xff);
      lamp.twice(special.initialise, 0);
      expect(lamp.compare(0xffffff)).toBe(true);
    });

    test('it ends with TERMINATE', () => {
      const lamp = bus();
      lamp.open();
      lamp.frame(special.terminate, 0);
      expect(lamp.compare(0xffffff)).toBe(false);
    });

    test('it ends 15 minutes after the last INITIALISE', () => {
      const lamp = bus();
      lamp.twice(special.initialise, 0);
      lamp.wait(600);
      lamp.twice(special.initialise, 0);
      lamp.wait(899);
      expect(lamp.compare(0xffffff)).toBe(true);
      lamp.wait(1);
      expect(lamp.compare(0xffffff)).toBe(false);
    });

    test('addresses outlive a power loss, the search does not; RESET forgets the random address only', () => {
      const lamp = bus();
      lamp.open();
      const random = lamp.random();
      lamp.search(random);
      lamp.frame(special.programShortAddress, short(40));
      for (const each of lamp.lamps) each.restart();
      lamp.wait(0.7);
      expect(lamp.compare(0xffffff)).toBe(false);
      expect(lamp.random()).toBe(random);
      expect(lamp.ask(opcode.queryResetState)).toBe(null);
      lamp.twice(0xff, opcode.reset);
      expect(lamp.random()).toBe(0xffffff);
      expect(lamp.ask(opcode.queryResetState)).toBe(0xff);
      expect(lamp.frame(short(40), opcode.queryGearPresent)).toBe(0xff);
    });
  });

  describe('memory banks', () => {
    const at = (lamp: Bus, bank: number, location: number) => {
      lamp.frame(special.dtr1, bank);
      lamp.frame(special.dtr0, location);
    };
    const read = (lamp: Bus, count: number) =>
      Array.from({ length: count }, () => lamp.ask(opcode.readMemory));

    test('bank 0 is read byte by byte: DTR0 moves on, also past what is not there', () => {
      const lamp = bus();
      at(lamp, 0, 0);
      const [last, none, lastBank] = read(lamp, 3);
      expect([last, none, lastBank]).toEqual([0x1a, null, 1]);
      expect(lamp.ask(opcode.queryDtr0)).toBe(3);
      // Serial number, 8 bytes, most significant first.
      at(lamp, 0, 0x0b);
      expect(read(lamp, 8)).toEqual([0, 0, 0, 0, 0, 0, 0, 1]);
      // Editions 2.0 of -101 and -102, no control device, one unit of control gear, the first one.
      expect(read(lamp, 9)).toEqual([1, 0, 8, 8, 0xff, 0, 1, 0, null]);
      at(lamp, 0, 254);
      expect(read(lamp, 3)).toEqual([null, null, null]);
      expect(lamp.ask(opcode.queryDtr0)).toBe(255);
    });

    test('a bank that is not there is silent and leaves DTR0', () => {
      const lamp = bus();
      at(lamp, 2, 0);
      expect(read(lamp, 1)).toEqual([null]);
      expect(lamp.ask(opcode.queryDtr0)).toBe(0);
    });

    test('bank 1 is written with permission and unlocked, and keeps it over power loss and RESET', () => {
      const lamp = bus();
      at(lamp, 1, 0);
      expect(read(lamp, 4)).toEqual([0x10, 0, 0xff, 0xff]);
      at(lamp, 1, 2);
      expect(lamp.frame(special.writeMemory, 0x55)).toBe(null);
      lamp.twice(0xff, opcode.enableWriteMemory);
      at(lamp, 1, 3);
      expect(lamp.frame(special.writeMemory, 7)).toBe(null);
      at(lamp, 1, 2);
      expect(lamp.frame(special.writeMemory, 0x55)).toBe(0x55);
      expect(lamp.frame(special.writeMemory, 7)).toBe(7);
      expect(lamp.frame(special.writeMemorySilently, 8)).toBe(null);
      at(lamp, 1, 0x10);
      expect(lamp.frame(special.writeMemory, 9)).toBe(9);
      expect(lamp.frame(special.writeMemory, 10)).toBe(null);
      at(lamp, 0, 9);
      expect(lamp.frame(special.writeMemory, 1)).toBe(null);
      lamp.twice(0xff, opcode.reset);
      for (const each of lamp.lamps) each.restart();
      lamp.wait(0.7);
      at(lamp, 1, 2);
      expect(read(lamp, 3)).toEqual([0xff, 7, 8]);
      at(lamp, 1, 0x10);
      expect(read(lamp, 2)).toEqual([9, null]);
    });

    test.each([
      ['once', 0, [], null],
      ['twice, 101 ms apart', 0.101, [], null],
      ['twice', 0.1, [], 0x55],
      ['twice, then a query of DTR0', 0.03, [0xff, opcode.queryDtr0], 0x55],
      ['twice, then a level', 0.03, [0xfe, 100], null],
      ['twice, then TERMINATE', 0.03, [special.terminate, 0], null],
      ['twice, then a level for another lamp', 0.03, [0x10, 100], 0x55],
    ] as const)('ENABLE WRITE MEMORY that comes %s', (_, apart, after, answer) => {
      const lamp = bus();
      at(lamp, 1, 2);
      lamp.frame(0xff, opcode.enableWriteMemory, apart);
      if (apart > 0) lamp.frame(0xff, opcode.enableWriteMemory);
      if (after.length > 0) lamp.frame(after[0]!, after[1]!);
      expect(lamp.frame(special.writeMemory, 0x55)).toBe(answer);
    });
  });
});

test('two lamps on one bus, of two makers and with the same address, are told apart and addressed', () => {
  const reference = started(firmwares['the reference firmware']!(2));
  const example = started(firmwares['the example in C']!());
  const bus = new Bus(reference, example);
  bus.open();
  const randoms = [new Bus(reference).random(), new Bus(example).random()];
  const found: number[] = [];
  for (let random = bus.lowest(); random !== null; random = bus.lowest()) {
    bus.frame(special.programShortAddress, short(20 + found.length));
    bus.frame(special.withdraw, 0);
    found.push(random);
  }
  bus.frame(special.terminate, 0);
  expect(found).toEqual([...randoms].sort((a, b) => a - b));
  expect(found).toHaveLength(2);
  const first = randoms[0]! < randoms[1]! ? reference : example;
  const second = first === reference ? example : reference;
  expect(first.dali(short(20), opcode.queryGearPresent)).toBe(0xff);
  expect(first.dali(short(21), opcode.queryGearPresent)).toBe(null);
  expect(second.dali(short(21), opcode.queryGearPresent)).toBe(0xff);
});
