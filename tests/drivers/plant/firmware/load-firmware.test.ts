import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { describe, expect, test } from 'vitest';
import { loadFirmware } from '../../../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../../../drivers/plant/firmware/open-firmware.ts';
import { assembled } from '../../../firmware/assembled.ts';
import { buildSource } from '../../../firmware/build-firmware.ts';
import { BareLamp } from './bare-lamp.ts';

const port = resolve(import.meta.dirname, '../../../../drivers/plant/firmware/lamp-port.h');

test('every function of lamp-port.h is offered', async () => {
  const names = [...readFileSync(port, 'utf8').matchAll(/LAMP_IMPORT\((lamp_\w+)\)/g)];
  const imports = names.map(([, name]) => `(import "env" "${name}" (func))`);
  expect(imports.length).toBeGreaterThan(15);
  const entries =
    '(memory (export "memory") 1) (func (export "lamp_init")) (func (export "lamp_tick") (result i32) i32.const 1)';
  const { style } = await loadFirmware(assembled(imports.join(' ') + entries), 'all.wasm');
  expect(style).toBe('ticks');
});

describe('a build with a main loop', () => {
  const imports = `
    (import "env" "lamp_set_analogue" (func $analogue (param i32 i32)))
    (import "env" "lamp_set_drive" (func $drive (param i32 i32)))
    (import "env" "lamp_wait_for_interrupt" (func $wait (param i32)))`;
  /** Counts its wakes in the drive of channel 0, in a variable that lives across the wait. */
  const counts = `
    (func (export "lamp_main") (local $count i32)
      (call $analogue (i32.const 0) (i32.const 8))
      (loop $again
        (call $drive (i32.const 0) (local.get $count))
        (call $wait (i32.const 0))
        (local.set $count (i32.add (local.get $count) (i32.const 1)))
        (br $again)))`;

  test.each([
    ['without memory', ''],
    ['with a memory that it does not export', '(memory $own 1)'],
    ['with memory under another name', '(memory $own 1) (export "store" (memory $own))'],
  ])('%s is left and entered', async (_, memory) => {
    const bytes = assembled(imports + memory + counts);
    const lamp = new BareLamp(openFirmware(await loadFirmware(bytes, 'counts.wasm')), 1);
    lamp.run(0.005);
    expect(lamp.drives[0]).toBe(5);
  });

  test.each([
    ['memory of no length', '(memory 0 1)', 'cannot be left where it waits (it has no memory)'],
    [
      'the names of the rewriting',
      '(memory 1) (func (export "asyncify_stop_unwind"))',
      'it exports asyncify_stop_unwind',
    ],
    [
      'more code than can be rewritten in a while',
      `(memory 1) (func ${'(drop (i32.const 0))'.repeat(400_000)})`,
      'it has 1.1 MiB of code; expected at most 1 MiB',
    ],
  ])('with %s is refused with what to do', async (_, parts, message) => {
    const bytes = assembled(imports + parts + counts);
    await expect(loadFirmware(bytes, 'x.wasm')).rejects.toThrow(message);
    await expect(loadFirmware(bytes, 'x.wasm')).rejects.toThrow('drive it by ticks (lamp-port.h)');
  });

  test('finds its static variables untouched where its frames pass through', async () => {
    // Without a stack they begin at address 0.
    const bytes = buildSource('sources/low-statics.c', ['-Wl,-z,stack-size=0']);
    const lamp = new BareLamp(openFirmware(await loadFirmware(bytes, 'low.wasm')), 1);
    lamp.run(0.05);
    expect(lamp.drives[0]).toBe(50);
    expect(lamp.heard).toBe('');
  });
});
