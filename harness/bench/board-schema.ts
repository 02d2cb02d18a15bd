import * as z from 'zod';
import { quantity } from '../files/schema-parts.ts';

/** What a lamp file says of the processor's board in the simulated lamp; each part is parsed to what lamp.ts calls it. */

export const processor = z
  .strictObject({
    speed: quantity(
      'Instructions of WebAssembly that it carries out a second: its busy pin is high for so long.',
      'frequency',
      '20 MHz',
      { above: 0 },
    ).exactOptional(),
    preemptive: z.literal(true).exactOptional().meta({
      description:
        'Calls of firmware take their time in the lamp, not on its busy pin alone, and interrupts preempt a main loop.',
    }),
    tick: quantity(
      'Period of the control tick, whole µs; 1 ms where it is not said.',
      'time',
      '250 µs',
      {
        least: 20e-6,
        most: 1e-3,
      },
    ).exactOptional(),
    boot: quantity(
      'From power, or a reset, to the first instruction of the firmware.',
      'time',
      '50 ms',
      {
        least: 0,
        most: 60,
      },
    ).exactOptional(),
    'timer-start': quantity(
      'Where lamp_time_us() stands at power-on, so that it wraps soon.',
      'time',
      '71.5 min',
      { least: 0, most: 2 ** 32 / 1e6 },
    ).exactOptional(),
    watchdog: quantity(
      'Its hardware watchdog restarts it when it was kicked once and then not for so long.',
      'time',
      '100 ms',
      { least: 1e-3, most: 60 },
    ).exactOptional(),
  })
  .transform(({ 'timer-start': timerStart, ...rest }) => ({
    ...rest,
    ...(timerStart !== undefined && { timerStart }),
  }))
  .meta({
    description: 'The processor of the simulated lamp: time, ticks and restarts of firmware in it.',
  });

export const adc = z
  .strictObject({
    bits: z
      .int()
      .min(6)
      .max(24)
      .exactOptional()
      .meta({ description: 'Resolution; 12 where it is not said.' }),
    noise: z
      .number()
      .min(0)
      .max(1000)
      .exactOptional()
      .meta({ description: 'Standard deviation of a reading, in steps; 0 where it is not said.' }),
    sampling: z.enum(['call', 'mid-pulse']).exactOptional().meta({
      description:
        'When a current is sampled: when the firmware asks (as where nothing is said), or in the middle of the last pulse of its PWM.',
    }),
  })
  .meta({ description: 'The analogue-to-digital converter of the simulated lamp.' });

export const memory = z
  .strictObject({
    'write-time': quantity('Time that a byte takes to be written.', 'time', '3 ms', {
      least: 0,
      most: 1,
    }).exactOptional(),
    endurance: z
      .int()
      .min(1)
      .max(1e9)
      .exactOptional()
      .meta({ description: 'Writes that a byte takes before it keeps what it holds.' }),
    written: z
      .int()
      .min(0)
      .max(1e9)
      .exactOptional()
      .meta({ description: 'Writes that each byte has had before: the age of the lamp.' }),
  })
  .transform(({ 'write-time': writeTime, ...rest }) => ({
    ...rest,
    ...(writeTime !== undefined && { writeTime }),
  }))
  .meta({
    description:
      'The non-volatile memory of the simulated lamp; at once and for ever where nothing is said.',
  });
