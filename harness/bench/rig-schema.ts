import * as z from 'zod';
import { name, quantity, words } from '../files/schema-parts.ts';
import { signalNames } from '../measure/signals.ts';
import { afterSchema } from './after-schema.ts';
import { beforeSchema } from './before-schema.ts';
import { chamberSchema } from './chamber-schema.ts';
import { linkNames } from './links.ts';
import { prepareSchema } from './prepare-schema.ts';
import type { Calibration } from './rig.ts';

/** Wall-clock time that a call may take where the file says nothing: long for a reply, short for a person. */
const usualDeadline = '5 s';

const date = z.iso.date();

const calibrationDays = {
  date: date.meta({ description: 'Day of the calibration, YYYY-MM-DD.' }),
  due: date.meta({ description: 'Day on which it is due again, YYYY-MM-DD.' }),
  certificate: words('Id of the certificate.'),
};

const calibration = z
  .strictObject({
    ...calibrationDays,
    'time-base': quantity(
      'Relative standard uncertainty of the time base (k = 1).',
      'ratio',
      '2 ppm',
      {
        least: 0,
        most: 0.1,
      },
    ).prefault('0 ppm'),
  })
  .transform(({ 'time-base': timeBase, ...rest }): Calibration => ({ ...rest, timeBase }));

/** What every instrument may have, whatever its driver; all other keys are the driver's settings. */
export const instrumentSchema = z.looseObject({
  driver: words(
    'Name of the driver, e.g. plant, scpi, console; or the path of a module of your own.',
  ),
  identity: z
    .strictObject({
      maker: words('Maker.').exactOptional(),
      model: words('Model.').exactOptional(),
      serial: words('Serial number.').exactOptional(),
      firmware: words('Firmware version.').exactOptional(),
    })
    .default({})
    .meta({ description: 'What the instrument must say of itself; anything else is refused.' }),
  calibration: calibration.exactOptional(),
  deadline: quantity('Wall-clock time that one call may take.', 'time', '5 s', {
    above: 0,
    most: 3600,
  }).prefault(usualDeadline),
  retries: z
    .int()
    .min(0)
    .max(10)
    .default(1)
    .meta({ description: 'How often it is tried again to reach the instrument.' }),
  // The limits of what it records.
  'highest-rate': quantity('Highest sampling rate per input.', 'frequency', '1 MS/s', {
    above: 0,
  }).optional(),
  'longest-record': quantity('Longest record at any rate.', 'time', '60 s', {
    above: 0,
  }).optional(),
  memory: z.int().min(1).optional().meta({ description: 'Samples per input that it can keep.' }),
  'one-record': z.boolean().optional().meta({
    description:
      'It has to finish a record before it can begin the next one: the stimulus is gone through once for each of those that overlap.',
  }),
  acquisition: z.enum(['integrating', 'point']).optional().meta({
    description: 'Averages over the sample interval, or samples an instant and may alias.',
  }),
});

/** `0.2 A/V` */
const scale = z.union([z.string(), z.number()]).meta({
  description:
    'What one volt at the input stands for, with its unit: value = (volts - offset) * scale.',
  examples: ['0.2 A/V', '1000 lx/V'],
});

/** A figure in the unit of the wire; its dimension is checked against the scale. */
const inUnit = (about: string, example: string) =>
  z.union([z.string(), z.number()]).meta({ description: about, examples: [example] });

/** What the dark wiring was found to record. */
const dark = z
  .strictObject({
    date: date.meta({ description: 'Day of the record, YYYY-MM-DD.' }),
    length: quantity('Length of the record.', 'time', '10 s', { above: 0 }),
    rate: quantity('Its sampling rate.', 'frequency', '10 kS/s', { above: 0 }),
    noise: inUnit('White noise of one sample, rms.', '20 mlx'),
    corner: quantity(
      'Frequency below which noise that falls with frequency outweighs the white noise.',
      'frequency',
      '3 Hz',
      { least: 0 },
    ).optional(),
    drift: inUnit('Change along a straight line over the record.', '1 mlx').optional(),
    lines: z
      .array(
        z.strictObject({
          frequency: quantity('Frequency of the line.', 'frequency', '50 Hz', { above: 0 }),
          amplitude: inUnit('Its peak amplitude.', '2 mlx'),
        }),
      )
      .max(64)
      .default([])
      .meta({ description: 'Hum, its harmonics and other pickup.' }),
  })
  .meta({
    description:
      'What the dark wiring records beside its zero, as `evenfall rig calibrate dark` finds it. Without it, light at a mains frequency may be pickup.',
  });

/** Relative, k = 1. */
const share = (about: string) =>
  quantity(`${about} Relative standard uncertainty, k = 1.`, 'ratio', '0.3 %', {
    least: 0,
    most: 1,
  }).exactOptional();

const wire = z.strictObject({
  signal: z.enum(signalNames),
  of: words(
    'A channel; `each` for one input per channel in their order; `all` for the mix.',
  ).optional(),
  instrument: name('Name of the instrument above.'),
  input: words('Name of its input.').optional(),
  inputs: z.array(words('Name of an input.')).min(1).max(32).optional(),
  scale,
  offset: quantity('Voltage at the input that stands for zero.', 'voltage', '0 mV').optional(),
  'standard-scale': quantity(
    'Relative standard uncertainty of the scale, k = 1.',
    'ratio',
    '0.1 %',
    {
      least: 0,
      most: 1,
    },
  ),
  'standard-offset': inUnit('Standard uncertainty of the zero, k = 1.', '2 µA'),
  noise: inUnit('rms noise of one sample.', '20 µA'),
  dark: dark.optional(),
  bandwidth: quantity('-3 dB bandwidth from the sensor to the converter.', 'frequency', '500 kHz', {
    above: 0,
  }),
  'anti-alias': quantity(
    'Anti-alias filter ahead of the converter, where there is one.',
    'frequency',
    '100 kHz',
    {
      above: 0,
    },
  ).optional(),
  bits: z.int().min(1).max(32),
  'full-scale': inUnit('Largest value that the input takes.', '1 A'),
  calibration: z.strictObject(calibrationDays).optional().meta({
    description: 'Certificate of the sensor with its chain, where it has one of its own.',
  }),
  budget: z
    .strictObject({
      'spectral-mismatch': share('Spectral mismatch between the reference and this lamp.'),
      linearity: share('Linearity: a small signal against one of full scale.'),
      cosine: share('Direction of the light, cosine response and distance.'),
      temperature: share('Temperature of sensor and amplifier.'),
      drift: share('Drift since the calibration.'),
    })
    .optional()
    .meta({ description: 'Standard uncertainties of the scale beside that of its certificate.' }),
});

const timing = z.strictObject({
  link: words(`Link: ${linkNames.join(', ')}.`),
  digitiser: name('Instrument that recorded it.'),
  seen: z.enum(['sync', 'light']).meta({
    description:
      'By the sync pin of the lamp, or by its light; the light holds the latency of the lamp.',
  }),
  delay: quantity('So much later than taken a command shows in a record.', 'time', '3 ms'),
  scatter: quantity('Standard deviation of the delay of one command, k = 1.', 'time', '1 ms', {
    least: 0,
    most: 10,
  }),
  exchange: quantity('Mean time to the confirmation; 0 s where there is none.', 'time', '9 ms', {
    least: 0,
    most: 60,
  }).prefault('0 s'),
  edges: z.int().min(2).meta({ description: 'Commands that it was told from.' }),
  date: date.meta({ description: 'Day on which it was found, YYYY-MM-DD.' }),
});

/** Shape of a `*.rig.yaml`. What its parts have to do with one another is checked by readRig. */
export const rigSchema = z
  .strictObject({
    rig: name('Name of the rig.'),
    about: words('One line for people.'),
    place: words('Site and organisation; printed in reports (ISO/IEC 17025:2017 7.8.2.1).'),
    instruments: z.record(name('Name of the instrument.'), instrumentSchema),
    wiring: z.array(wire),
    links: z
      .record(name(`Link: ${linkNames.join(', ')}.`), name('Instrument that carries it.'))
      .meta({ description: 'Which instrument carries the commands of which link.' }),
    supply: z
      .strictObject({
        instrument: name('Name of the instrument.'),
        'highest-volts': quantity('Never more than this.', 'voltage', '56 V', { above: 0 }),
        'highest-amps': quantity('Never more than this.', 'current', '5 A', { above: 0 }),
      })
      .transform(({ instrument, 'highest-volts': highestVolts, 'highest-amps': highestAmps }) => ({
        instrument,
        highestVolts,
        highestAmps,
      }))
      .exactOptional(),
    switch: z
      .strictObject({
        instrument: name('Name of the instrument.'),
        'lives-on': z
          .union([z.literal('always'), quantity('Time.', 'time', '2 s', { above: 0, most: 60 })])
          .prefault('2 s')
          .meta({
            description:
              'A lamp without power answers no more after this; `always` where something else feeds its processor, as USB.',
          }),
      })
      .transform(({ instrument, 'lives-on': livesOn }) => ({
        instrument,
        livesOn: livesOn === 'always' ? null : livesOn,
      }))
      .exactOptional()
      .meta({
        description:
          'A relay or smart switch between supply and lamp; it switches the lamp on and off in place of the supply.',
      }),
    chamber: chamberSchema.exactOptional(),
    timing: z.array(timing).exactOptional().meta({
      description:
        'When commands show in the records, as `evenfall rig calibrate timing` finds it: commands are taken to be so late, and known to the scatter.',
    }),
    safe: z.strictObject({
      lamp: z.literal('off'),
      supply: z.enum(['off', 'leave']),
      within: quantity(
        'Wall-clock time in which the safe state has to be confirmed.',
        'time',
        '10 s',
        {
          above: 0,
          most: 600,
        },
      ),
    }),
    decision: z
      .strictObject({
        rule: z.enum(['simple', 'guarded']),
        'coverage-factor': z.number().min(1).max(4),
      })
      .transform(({ rule, 'coverage-factor': coverageFactor }) => ({ rule, coverageFactor }))
      .prefault({ rule: 'guarded', 'coverage-factor': 2 })
      .meta({ description: 'Guarded with k = 2 where nothing is said.' }),
    'calibration-policy': z.enum(['warn', 'refuse']).default('warn'),
    'warm-up': quantity('Time for the instruments to settle before a run.', 'time', '20 min', {
      least: 0,
      most: 86_400,
    }).prefault('0 s'),
    prepare: prepareSchema.exactOptional().meta({
      description:
        'What programs do to the lamp before a run, such as putting the build into it; the first that fails ends the run before its first claim.',
    }),
    before: beforeSchema.exactOptional(),
    after: afterSchema.exactOptional(),
    ambient: quantity('Ambient temperature.', 'temperature', '23 °C').prefault('25 °C'),
  })
  .meta({ title: 'Evenfall rig file' });

/** The parsed file; figures in SI but for those in the unit of a wire. */
export type RigFile = z.infer<typeof rigSchema>;
export type WireShape = RigFile['wiring'][number];
