import { Worker } from 'node:worker_threads';
import { afterEach, describe, expect, test } from 'vitest';
import type { Firmware } from '../../../../drivers/plant/firmware/firmware.ts';
import {
  type FirmwareImage,
  FirmwareLoadError,
} from '../../../../drivers/plant/firmware/firmware-image.ts';
import { heartbeatBytes } from '../../../../drivers/plant/firmware/heartbeat.ts';
import { loadFirmware } from '../../../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../../../drivers/plant/firmware/open-firmware.ts';
import { LampFailure } from '../../../../harness/bench/errors.ts';
import { buildSource } from '../../../firmware/build-firmware.ts';
import { BareLamp } from './bare-lamp.ts';

const images = {
  broken: await loadFirmware(buildSource('sources/broken.c'), 'test.wasm'),
  mainLoop: await loadFirmware(buildSource('sources/main-loop.c'), 'test.wasm'),
};
const opened: Firmware[] = [];
afterEach(() => {
  for (const firmware of opened.splice(0)) firmware.dispose();
});

function lampWith(image: FirmwareImage): BareLamp {
  const firmware = openFirmware(image);
  opened.push(firmware);
  return new BareLamp(firmware, 1);
}

describe('a build that cannot be a firmware is refused with what to do', () => {
  test.each([
    ['an empty file', () => new Uint8Array(), 'it is an empty file'],
    ['a text', () => new TextEncoder().encode('#include'), '23 69 6e 63'],
    ['a damaged module', () => Uint8Array.of(0, 0x61, 0x73, 0x6d, 1, 0, 0, 0, 99), 'damaged'],
    [
      'a foreign import',
      () => buildSource('sources/foreign-import.c'),
      'imports function env.printf, which lamp-port.h does not declare',
    ],
    ['no tick', () => buildSource('sources/no-tick.c'), 'does not export lamp_tick'],
  ])('%s', async (_, bytes, message) => {
    const load = () => loadFirmware(bytes(), 'x.wasm');
    await expect(load()).rejects.toThrow(FirmwareLoadError);
    await expect(load()).rejects.toThrow(message);
  });
});

describe('driven by ticks', () => {
  const broken = () => lampWith(images.broken);

  test('ticks, and starts afresh after a restart that it asks for', () => {
    const lamp = broken();
    lamp.run(0.01);
    expect(lamp.drives[0]).toBe(10);
    lamp.receive({ link: 'console', byte: 'r'.charCodeAt(0) });
    expect(lamp.drives[0]).toBe(0);
    lamp.run(0.003);
    expect(lamp.drives[0]).toBe(3);
  });

  test.each([
    ['t', 'unreachable'],
    ['d', 'divide by zero'],
    ['s', 'memory access out of bounds'],
    ['m', 'MiB of memory'],
  ])('%s is a failure of the lamp, for good', (letter, message) => {
    const lamp = broken();
    const byte = letter.charCodeAt(0);
    lamp.run(0.005);
    expect(() => lamp.receive({ link: 'console', byte })).toThrow(LampFailure);
    expect(() => lamp.firmware.tick()).toThrow(message);
    expect(() => lamp.firmware.tick()).toThrow('test.wasm');
  });

  test('an endless loop shows in the heartbeat, so that its thread can be ended', async () => {
    const heartbeat = new SharedArrayBuffer(heartbeatBytes);
    const folder = new URL('../../../../drivers/plant/firmware/', import.meta.url);
    const source = `
      import('tsx/esm/api').then(async ({ register }) => {
        register();
        const { workerData } = require('node:worker_threads');
        const { openFirmware } = await import(workerData.folder + 'open-firmware.ts');
        const firmware = openFirmware(workerData.image, { heartbeat: workerData.heartbeat });
        firmware.start({ channels: 1, memory: new Uint8Array(256), setModulator() {}, now: () => 0 });
        firmware.receive({ link: 'console', byte: 108 });
      });`;
    const workerData = { heartbeat, image: images.broken, folder: folder.href };
    const worker = new Worker(source, { eval: true, workerData });
    const words = new Int32Array(heartbeat);
    const broken = new Promise<never>((_, reject) => worker.once('error', reject));
    const spins = async () => {
      // Loading was call 1 and lamp_init call 2; call 3 never comes back.
      while (!(words[0] === 1 && words[1] === 3)) await new Promise((go) => setTimeout(go, 5));
      return Atomics.wait(words, 1, 3, 50);
    };
    expect(await Promise.race([spins(), broken])).toBe('timed-out');
    expect(words[0]).toBe(1);
    expect(await worker.terminate()).toBe(1);
  });
});

describe('with a main loop', () => {
  const mainLoop = () => lampWith(images.mainLoop);
  const send = (lamp: BareLamp, letter: string) =>
    lamp.receive({ link: 'console', byte: letter.charCodeAt(0) });

  test('sets up, wakes, answers, and tells when it is idle', () => {
    const lamp = mainLoop();
    expect(lamp.setups[0]).toEqual({ kind: 'pwm', bits: 10, frequency: 1000, phase: 0.5 });
    send(lamp, 'A');
    expect(lamp.drives[0]).toBe(65);
    expect(lamp.heard).toBe('k');
    expect(lamp.memory[3]).toBe(65);
    expect(lamp.firmware.tick()).toBe(false);
  });

  test('a restart that it asks for, and one by the reset pin, start a fresh copy with the old memory', () => {
    const lamp = mainLoop();
    send(lamp, 'B');
    send(lamp, 'r');
    expect(lamp.drives[0]).toBe(66);
    lamp.restart();
    expect(lamp.drives[0]).toBe(66);
    send(lamp, 'C');
    expect(lamp.drives[0]).toBe(67);
  });

  test('a restart that an interrupt asks for does the same', () => {
    const lamp = mainLoop();
    send(lamp, 'B');
    send(lamp, 'R');
    expect(lamp.drives[0]).toBe(66);
    send(lamp, 'C');
    expect(lamp.drives[0]).toBe(67);
  });

  test('waits anywhere below lamp_main(), and every function finds its variables again', () => {
    const lamp = mainLoop();
    send(lamp, 's');
    // An interrupt wakes it.
    lamp.firmware.tick();
    expect(lamp.drives[0]).toBe(385);
    send(lamp, 'A');
    expect(lamp.drives[0]).toBe(65);
  });

  test('may take more memory', () => {
    const lamp = mainLoop();
    send(lamp, 'g');
    send(lamp, 's');
    lamp.firmware.tick();
    expect(lamp.drives[0]).toBe(385);
  });

  test.each([
    ['t', 'lamp_main() ended in a trap: unreachable'],
    ['x', 'lamp_main() returned; it must not'],
    ['m', 'lamp_main() took 19 MiB of memory; a lamp has at most 16 MiB'],
    ['S', 'hold more than 32 KiB of variables'],
  ])('%s is a failure of the lamp, for good', (letter, message) => {
    const lamp = mainLoop();
    expect(() => send(lamp, letter)).toThrow(message);
    expect(() => lamp.firmware.tick()).toThrow(LampFailure);
    expect(() => lamp.firmware.tick()).toThrow(message);
  });

  test('a wait in an interrupt is one, too', () => {
    const lamp = mainLoop();
    send(lamp, 'w');
    expect(() => lamp.firmware.tick()).toThrow(
      'lamp_tick() failed: it called lamp_wait_for_interrupt(), which is for lamp_main() alone',
    );
    expect(() => lamp.firmware.tick()).toThrow(LampFailure);
  });

  test('a restart that it asks for again and again is one, too', () => {
    const lamp = mainLoop();
    send(lamp, '!');
    expect(() => send(lamp, 'r')).toThrow('it asked for a restart 10 times in a row');
  });

  test('power brings it back after a failure', () => {
    const lamp = mainLoop();
    send(lamp, 'B');
    expect(() => send(lamp, 't')).toThrow(LampFailure);
    lamp.restart();
    send(lamp, 'C');
    expect(lamp.drives[0]).toBe(67);
  });
});
