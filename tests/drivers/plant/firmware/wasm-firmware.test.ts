import { Worker } from 'node:worker_threads';
import { afterEach, describe, expect, test } from 'vitest';
import type { Firmware } from '../../../../drivers/plant/firmware/firmware.ts';
import { FirmwareLoadError } from '../../../../drivers/plant/firmware/firmware-image.ts';
import { openFirmware } from '../../../../drivers/plant/firmware/open-firmware.ts';
import { LampFailure } from '../../../../harness/bench/errors.ts';
import { buildSource } from '../../../firmware/build-firmware.ts';
import { BareLamp } from './bare-lamp.ts';

const builds = {
  broken: buildSource('sources/broken.c'),
  mainLoop: buildSource('sources/main-loop.c'),
};
const opened: Firmware[] = [];
afterEach(() => {
  for (const firmware of opened.splice(0)) firmware.dispose();
});

function lampWith(bytes: Uint8Array, name = 'test.wasm'): BareLamp {
  const firmware = openFirmware({ name, bytes });
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
  ])('%s', (_, bytes, message) => {
    const build = { name: 'x.wasm', bytes: bytes() };
    expect(() => openFirmware(build)).toThrow(FirmwareLoadError);
    expect(() => openFirmware(build)).toThrow(message);
  });
});

describe('driven by ticks', () => {
  const broken = () => lampWith(builds.broken);

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
    const heartbeat = new SharedArrayBuffer(8);
    const folder = new URL('../../../../drivers/plant/firmware/', import.meta.url);
    const source = `
      import('tsx/esm/api').then(async ({ register }) => {
        register();
        const { workerData } = require('node:worker_threads');
        const { openFirmware } = await import(workerData.folder + 'open-firmware.ts');
        const firmware = openFirmware({ name: 'x', bytes: workerData.bytes }, workerData.heartbeat);
        firmware.start({ channels: 1, memory: new Uint8Array(256), setModulator() {}, now: () => 0 });
        firmware.receive({ link: 'console', byte: 108 });
      });`;
    const workerData = { heartbeat, bytes: builds.broken, folder: folder.href };
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
  const mainLoop = () => lampWith(builds.mainLoop);
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

  test.each([
    ['t', 'unreachable'],
    ['f', 'more than 4096 calls'],
    ['l', 'did not reach lamp_wait_for_interrupt() within 1 s'],
  ])('%s is a failure of the lamp within a second', (letter, message) => {
    const lamp = mainLoop();
    expect(() => send(lamp, letter)).toThrow(message);
    expect(() => lamp.firmware.tick()).toThrow(LampFailure);
  });
});
