import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { readLamp } from '../../harness/bench/lamp-file.ts';

const file = 'specs/lamps/alcove-6.lamp.yaml';
const text = readFileSync(file, 'utf8');

function read(processor: string): Lamp['processor'] | string {
  const found = readLamp(text.replace(/^processor: .*$/m, `processor: ${processor}`), file);
  return 'lamp' in found
    ? found.lamp.processor
    : found.issues.map(({ message }) => message).join('; ');
}

describe('the processor of a lamp file', () => {
  test('is read in SI, each part by itself', () => {
    expect(read('{ speed: 20 MHz, preemptive: true }')).toEqual({ speed: 20e6, preemptive: true });
    expect(read('{ tick: 250 µs, boot: 50 ms }')).toEqual({ tick: 250e-6, boot: 0.05 });
    expect(read('{ timer-start: 71.5 min, watchdog: 100 ms }')).toEqual({
      timerStart: 4290,
      watchdog: 0.1,
    });
  });

  test.each([
    ['{ preemptive: true }', 'expected speed beside it'],
    [
      '{ tick: 33.3 µs }',
      'expected whole microseconds, as lamp_tick_us() tells them; found 33.3 µs',
    ],
    ['{ tick: 2 ms }', '1 ms'],
    ['{ boot: 400 ms }', 'expected at most start-up (0.3 s)'],
    ['{ timer-start: 72 min }', 'at most 1.193 h, found 72 min'],
  ])('%s is refused with what to do', (processor, message) => {
    expect(read(processor)).toContain(message);
  });
});

test('memory and hold-up are read in SI, and are not there where the file does not say', () => {
  const plain = readLamp(text, file);
  const said = text
    .replace(/^processor: .*$/m, 'memory: { write-time: 3 ms, endurance: 100000, written: 7 }')
    .replace('standby-power: 300 mW', 'standby-power: 300 mW\n  hold-up: 20 ms');
  const full = readLamp(said, file);
  if (!('lamp' in plain && 'lamp' in full)) throw new Error('expected two lamps');
  expect(full.lamp.memory).toEqual({ writeTime: 3e-3, endurance: 100_000, written: 7 });
  expect(full.lamp.supply.holdUp).toBe(0.02);
  expect(plain.lamp.memory).toBeUndefined();
  expect(plain.lamp.supply).not.toHaveProperty('holdUp');
});

test('a converter samples in the middle of pulses only where there are any', () => {
  const adc = 'adc: { bits: 10, noise: 1.5, sampling: mid-pulse }';
  const dense = readLamp(text.replace(/^processor: .*$/m, adc), file);
  expect('issues' in dense && dense.issues[0]?.message).toContain(
    'expected call, since pulse-density modulation has no periods',
  );
  const pulsed = text
    .replace(/^processor: .*$/m, adc)
    .replace(/^modulation: .*$/m, 'modulation: { kind: pwm, bits: 12, frequency: 4 kHz }');
  const lamp = readLamp(pulsed, file);
  if (!('lamp' in lamp)) throw new Error(JSON.stringify(lamp.issues));
  expect(lamp.lamp.adc).toEqual({ bits: 10, noise: 1.5, sampling: 'mid-pulse' });
});

test('dead time, ripple, spread and crosstalk are read, dead time with pulses of PWM alone', () => {
  const said = text
    .replace(/^processor: .*$/m, 'spread: { forward-voltage: 3 % }\ncrosstalk: 1 %')
    .replace('standby-power: 300 mW', 'standby-power: 300 mW\n  ripple: 5 %')
    .replace('diode-drop: 0.4 V', 'diode-drop: 0.4 V\n  dead-time: 30 ns');
  const dense = readLamp(said, file);
  expect('issues' in dense && dense.issues[0]?.message).toContain('expected pwm modulation');
  const pwm = 'modulation: { kind: pwm, bits: 12, frequency: 4 kHz }';
  const read = readLamp(said.replace(/^modulation: .*$/m, pwm), file);
  if (!('lamp' in read)) throw new Error(JSON.stringify(read.issues));
  expect(read.lamp).toMatchObject({ spread: { forwardVoltage: 0.03 }, crosstalk: 0.01 });
  expect(read.lamp.supply.ripple).toBe(0.05);
  expect(read.lamp.stage.deadTime).toBeCloseTo(30e-9, 15);
});
