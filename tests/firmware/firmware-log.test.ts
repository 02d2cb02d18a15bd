import { expect, test } from 'vitest';
import { FirmwareLoadError, firmwareImage } from '../../drivers/plant/firmware/firmware-image.ts';
import { loadFirmware } from '../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../drivers/plant/firmware/open-firmware.ts';
import type { ConditionRecord } from '../../harness/record/run-record.ts';
import { assembled } from './assembled.ts';
import { buildSource } from './build-firmware.ts';
import { claim, judge } from './judge.ts';

const chatty = buildSource('sources/chatty.c');

const sleepy = buildSource('sources/chatty.c', ['-DMAIN_LOOP']);

/** What comes of the letters that the console is sent, one after another, a second apart. */
async function said(letters: string, build = chatty): Promise<ConditionRecord> {
  const image = await loadFirmware(build, 'chatty.wasm');
  const { conditions, ...plan } = claim('dimming/reaches-bottom');
  const marks = conditions[0]!.stimulus.filter(({ verb }) => verb === 'mark');
  const stimulus = [...letters].flatMap((line) => [
    { verb: 'hold', time: 1 } as const,
    { verb: 'send', message: { link: 'console', line } } as const,
  ]);
  const only = { ...conditions[0]!, stimulus: [...stimulus, ...marks] };
  return judge({ ...plan, conditions: [only] }, 0, { firmware: () => openFirmware(image) });
}

async function textsOf(letters: string): Promise<string[]> {
  const { firmwareLog = [] } = await said(letters);
  return firmwareLog.flatMap(({ lines }) => lines.map(({ text }) => text));
}

test('a line that the firmware logs stands in the record at its instant', async () => {
  const { firmwareLog, reason } = await said('hh');
  expect(reason ?? '').not.toContain('broke down');
  expect(firmwareLog).toEqual([
    {
      solo: null,
      lines: [
        { at: expect.closeTo(1, 3), text: 'hello, 25 °C' },
        { at: expect.closeTo(2, 3), text: 'hello, 25 °C' },
      ],
    },
  ]);
});

test('line ends part lines, and one at the end makes no empty line', async () => {
  expect(await textsOf('pt')).toEqual(['as puts does', 'two', 'lines']);
});

test('control characters and bytes that are no UTF-8 are shown for what they are', async () => {
  expect(await textsOf('b')).toEqual(['<U+001B>[31mred<0xFF><0xC3>(<0x80>']);
});

test('a long line is cut between characters, and what is left away is told', async () => {
  expect(await textsOf('l')).toEqual([`${'a'.repeat(199)} … and 51 bytes more`]);
});

test('of too many lines the first and the last are kept, and the rest is counted', async () => {
  const { firmwareLog: [log] = [] } = await said('hf');
  expect(log?.lines).toHaveLength(1000);
  expect(log?.lines[0]?.text).toBe('hello, 25 °C');
  expect(log?.lines[499]?.text).toBe('line 0498');
  expect(log?.lines[500]?.text).toBe('line 2500');
  expect(log?.lines[999]?.text).toBe('line 2999');
  const at = expect.closeTo(2, 3);
  expect(log?.dropped).toEqual({ lines: 2001, bytes: 2001 * 9, from: at, to: at });
});

test('what was logged before a trap is kept with the failure', async () => {
  const { verdict, reason, firmwareLog: [log] = [] } = await said('hx');
  expect(verdict).toBe('fail');
  expect(reason).toContain('unreachable');
  expect(log?.lines.map(({ text }) => text)).toEqual(['hello, 25 °C', 'about to divide']);
});

test('a main loop that is left in its wait logs each line once', async () => {
  const { firmwareLog: [log] = [] } = await said('h', sleepy);
  const texts = (log?.lines ?? []).map(({ text }) => text);
  const waits = texts.filter((text) => text === 'to sleep').length;
  const wakes = texts.filter((text) => text === 'awake').length;
  expect(waits - wakes).toBe(1);
  const place = texts.indexOf('hello, 25 °C');
  // The interrupt runs inside the wait.
  expect(texts.slice(place - 1, place + 3)).toEqual([
    'to sleep',
    'hello, 25 °C',
    'awake',
    'to sleep',
  ]);
});

test('a text beyond its memory is a failure of the firmware', async () => {
  const { verdict, reason } = await said('y');
  expect(verdict).toBe('fail');
  expect(reason).toContain('the text at 0x7fffffff that it handed over lies beyond its memory');
});

test('a build that logs has to export the memory that its texts lie in', () => {
  const bytes = assembled(`
    (import "env" "lamp_log" (func $log (param i32)))
    (memory 1)
    (func (export "lamp_init") (call $log (i32.const 0)))
    (func (export "lamp_tick") (result i32) (i32.const 0))`);
  expect(() => firmwareImage(bytes, 'sealed.wasm')).toThrow(FirmwareLoadError);
  expect(() => firmwareImage(bytes, 'sealed.wasm')).toThrow(/does not export its memory/);
});

test('firmware that says nothing leaves the record as it was', async () => {
  expect(await said('z')).not.toHaveProperty('firmwareLog');
});
