import * as z from 'zod';
import { name, quantity, words } from '../../harness/files/schema-parts.ts';

/** Pieces of an instrument profile; PROFILES.md explains them to people. */

const message = (about: string) =>
  z
    .string()
    .min(1)
    .max(500)
    .regex(/^[\x20-\x7e]+$/)
    .meta({ description: about });

const messages = (about: string) => z.array(message(about)).max(50);

/** A query that is repeated until its answer is one of these, or a status with that bit set. */
const poll = z.strictObject({
  query: message('The query.'),
  is: z
    .union([
      z.array(words('An answer that ends the wait.')).min(1).max(10),
      z.strictObject({
        bit: z.int().min(0).max(31).meta({ description: 'Of a number; 0 is the lowest.' }),
        value: z.literal([0, 1]).default(1),
      }),
    ])
    .meta({ description: 'Answers that end the wait, or the bit of a status that does.' }),
  every: quantity('Time from look to look.', 'time', '20 ms', { above: 0, most: 60 }),
});

const common = {
  profile: name('Name of the profile.'),
  about: words('One line for people.'),
  identify: message('Query for the identity.').default('*IDN?'),
  errors: z
    .strictObject({
      query: message('Query for the oldest error.'),
      most: z.int().min(1).max(1000),
    })
    .optional()
    .meta({ description: 'The error queue; left out where the instrument has none.' }),
  open: messages('Sent once after the connection was made.').default([]),
};

const preambleField = z.enum([
  'points',
  'rate',
  'interval',
  'scale',
  'offset',
  'reference',
  'lowest',
  'highest',
  'ignored',
]);

/** What tells a new record from an old one. */
const proof = z.union([
  z.strictObject({
    counter: message('Query for the number of records so far; it has to rise with each.'),
    by: z.int().min(1).max(100_000).default(1).meta({ description: 'By how much it rises.' }),
  }),
  z.strictObject({
    changes: message('Query for a time or number of the record; it has to be another one.'),
  }),
  z.strictObject({
    status: z.literal('not-complete').meta({
      description: 'The answer to "wait" has to have been another one after arming.',
    }),
  }),
  z.strictObject({
    nonce: z.literal('samples').meta({
      description: 'So many samples more than are needed, another number each time.',
    }),
    most: z.int().min(15).max(100_000).default(63),
  }),
  z.strictObject({
    nonce: z.array(z.number()).min(8).max(1000).meta({
      description: 'Figures for {nonce}, one of them for each record, never the same twice.',
    }),
    shown: z.union([
      z.strictObject({ field: preambleField }),
      z.strictObject({ query: message('For each input: {input}.') }),
    ]),
    times: z
      .number()
      .refine((factor) => factor !== 0, 'expected a factor other than 0')
      .default(1)
      .meta({ description: 'It is shown as so many times what was set.' }),
  }),
]);

const fresh = z.union([proof, z.array(proof).min(1).max(5)]).transform((one) => [one].flat());

const digitiser = z.strictObject({
  ...common,
  kind: z.literal('digitiser'),
  capabilities: z.strictObject({
    'highest-rate': quantity('Highest rate per input.', 'frequency', '1 MHz', { above: 0 }),
    memory: z.int().min(1).meta({ description: 'Samples per input.' }),
    bits: z.int().min(1).max(32),
    acquisition: z.enum(['integrating', 'point']),
  }),
  'set-up': messages('Before every record: {rate} Hz, {samples}, {duration} s.').default([]),
  'each-input': messages('For each input: {input}, {range} V.').default([]),
  range: z
    .strictObject({ default: z.number().positive() })
    .default({ default: 1 })
    .meta({ description: 'Volts that go into {range} where the harness expects no peak.' }),
  'actual-rate': message('Query for the rate that it really runs at.').optional(),
  arm: message('Starts sampling.'),
  running: poll.optional().meta({ description: 'Answers that sampling has begun.' }),
  wait: poll
    .extend({
      lag: quantity('It may say so this much after the last sample.', 'time', '0 s', {
        least: 0,
        most: 60,
      }).default(0),
    })
    .meta({ description: 'Answers that the record is whole.' }),
  fresh: fresh.optional().meta({ description: 'How it is proved that a record is new.' }),
  preamble: z
    .strictObject({
      query: message('For each input: {input}.'),
      fields: z.array(preambleField).min(1).max(40),
    })
    .optional(),
  scale: z
    .strictObject({
      scale: z.number(),
      offset: z.number().default(0),
      reference: z.number().default(0),
      lowest: z.number().optional(),
      highest: z.number().optional(),
    })
    .optional()
    .meta({
      description: 'volts = (code - reference) * scale + offset, where no preamble says it.',
    }),
  data: z.strictObject({
    query: message('For each input: {input}; in pieces also {first} and {last}, or {count}.'),
    pieces: z
      .strictObject({
        most: z.int().min(1).meta({ description: 'Samples that one answer can hold.' }),
        from: z.literal([0, 1]).default(0).meta({ description: 'Number of the first sample.' }),
        select: messages('Sent before the query of each piece.').default([]),
      })
      .optional()
      .meta({ description: 'Where a record is fetched piece by piece.' }),
    encoding: z.enum(['int8', 'uint8', 'int16', 'uint16', 'int32', 'float32', 'text']),
    order: z.enum(['little', 'big']).default('big'),
  }),
});

/** Which answers mean that an output is on, and off. */
const outputState = z.strictObject({
  query: message('Query for the state of the output.'),
  on: z.array(words('Answer.')).min(1),
  off: z.array(words('Answer.')).min(1),
});

const watchdog = z
  .strictObject({
    time: quantity(
      'Without a sign of life for so long it switches its output off.',
      'time',
      '20 s',
      {
        least: 2,
        most: 3600,
      },
    ).prefault('20 s'),
    set: message('Starts it, {seconds}; sent before the output is switched on.'),
    feed: message('The sign of life, sent four times in that time.'),
    off: message('Stops it; sent when the output has been switched off.'),
  })
  .optional()
  .meta({ description: 'Its own watchdog: the lamp goes dark although every computer is gone.' });

const supply = z.strictObject({
  ...common,
  kind: z.literal('supply'),
  'highest-volts': quantity('What it can give.', 'voltage', '60 V', { above: 0 }).optional(),
  'highest-amps': quantity('What it can give.', 'current', '10 A', { above: 0 }).optional(),
  volts: message('Sets {volts}.'),
  limit: message('Sets the current limit {amps}.').optional(),
  'output-on': message('Output on.'),
  'output-off': message('Output off.'),
  settled: poll.optional(),
  state: outputState,
  'read-volts': message('Query for the voltage at the terminals.'),
  'read-amps': message('Query for the current.'),
  mode: z
    .strictObject({
      query: message('Query for what the output holds.'),
      voltage: z.array(words('Answer.')).min(1),
      current: z.array(words('Answer.')).min(1),
    })
    .optional()
    .meta({ description: 'Whether the output holds its voltage or its current limit.' }),
  protections: z
    .strictObject({
      query: message('Query for the latched status of the protections.'),
      none: z.array(words('Answer that means: none has acted.')).min(1),
      bits: z
        .record(z.string().regex(/^([0-9]|[12][0-9]|3[01])$/), words('What this bit stands for.'))
        .optional()
        .meta({ description: 'Where the answer is a number: what each bit of it stands for.' }),
      clear: message('Forgets what is latched; left out where reading does.').optional(),
    })
    .optional()
    .meta({ description: 'Latched, so that a trip of a millisecond is seen afterwards.' }),
  watchdog,
});

const powerSwitch = z.strictObject({
  ...common,
  kind: z.literal('switch'),
  'output-on': message('Closes the contacts.'),
  'output-off': message('Opens the contacts.'),
  settled: poll.optional(),
  state: outputState,
  'read-amps': message('Query for the current through it, A.').optional(),
  'read-watts': message('Query for the power through it, W.').optional(),
  watchdog,
});

const chamber = z.strictObject({
  ...common,
  kind: z.literal('chamber'),
  lowest: quantity('What it can give.', 'temperature', '-40 °C', { least: -200 }).optional(),
  highest: quantity('What it can give.', 'temperature', '90 °C', { most: 500 }).optional(),
  'set-point': message('Sets {celsius}.'),
  start: message('Begins to condition the air.').optional(),
  stop: message('Conditioning off.'),
  'read-celsius': message('Query for the temperature of the air, °C.'),
  'read-set-point': message('Query for what is set, °C.').optional(),
  state: outputState.optional().meta({ description: 'Whether it conditions the air.' }),
  alarms: z
    .strictObject({
      query: message('Query for what it complains of.'),
      none: z.array(words('Answer that means: of nothing.')).min(1),
      bits: z
        .record(z.string().regex(/^([0-9]|[12][0-9]|3[01])$/), words('What this bit stands for.'))
        .optional()
        .meta({ description: 'Where the answer is a number: what each bit of it stands for.' }),
    })
    .optional(),
});

const thermometer = z.strictObject({
  ...common,
  kind: z.literal('thermometer'),
  'read-celsius': message('Query for the temperature, °C.'),
});

const colourSensor = z.strictObject({
  ...common,
  kind: z.literal('colour-sensor'),
  'shortest-integration': quantity('Shortest.', 'time', '1 ms', { above: 0 }),
  'longest-integration': quantity('Longest.', 'time', '10 s', { above: 0 }),
  ranging: quantity('What it does before it integrates takes this time.', 'time', '500 ms', {
    least: 0,
    most: 60,
  }).default(0),
  'standard-xy': z.number().min(0).max(0.1).optional().meta({
    description: 'Standard uncertainty of x and y each, k = 1.',
  }),
  'set-up': messages('Before every reading: {integration} s.').default([]),
  read: z.strictObject({
    query: message('Integrates from now on and answers.'),
    fields: z.array(z.enum(['X', 'Y', 'Z', 'x', 'y', 'state', 'ignored'])).min(3),
    states: z
      .strictObject({
        good: words('Answer.'),
        saturated: words('Answer.'),
        'under-range': words('Answer.'),
      })
      .optional(),
  }),
});

/** nm */
const nanometres = (about: string) => z.number().positive().max(3000).meta({ description: about });

const spectrometer = z.strictObject({
  ...common,
  kind: z.literal('spectrometer'),
  'shortest-integration': quantity('Shortest.', 'time', '1 ms', { above: 0 }),
  'longest-integration': quantity('Longest.', 'time', '10 s', { above: 0 }),
  ranging: quantity('What it does before it integrates takes this time.', 'time', '500 ms', {
    least: 0,
    most: 60,
  }).default(0),
  wavelengths: z
    .strictObject({
      from: nanometres('Of the first value, nm.'),
      to: nanometres('Of the last value, nm.'),
      step: nanometres('From value to value, nm.'),
    })
    .meta({ description: 'Evenly spaced, in air, nm.' }),
  bandwidth: nanometres(
    'What one wavelength is shown as: full width at half maximum, nm.',
  ).optional(),
  'standard-wavelength': nanometres('Standard uncertainty of the wavelengths, nm, k = 1.'),
  'standard-xy': z.number().min(0).max(0.1).optional().meta({
    description: 'Standard uncertainty of x and y each by the certificate, k = 1.',
  }),
  scale: z.number().positive().default(1).meta({ description: 'W/(m² nm) = value * scale.' }),
  'set-up': messages('Before every spectrum: {integration} s.').default([]),
  dark: z
    .strictObject({
      message: message('Shutter closed, dark taken, shutter open.'),
      done: poll.optional(),
    })
    .optional()
    .meta({ description: 'Before the first spectrum at an integration time.' }),
  read: message('Integrates from now on and answers with the values.'),
  encoding: z.enum(['text', 'float32']).default('text'),
  order: z.enum(['little', 'big']).default('big'),
  state: z
    .strictObject({
      query: message('Query for the state of the spectrum just read.'),
      good: words('Answer.'),
      saturated: words('Answer.'),
      'under-range': words('Answer.').optional(),
    })
    .optional(),
  'saturated-at': z.number().positive().optional().meta({
    description: 'A value as sent, at or beyond which it is clipped; where there is no state.',
  }),
});

const multimeter = z.strictObject({
  ...common,
  kind: z.literal('multimeter'),
  'read-volts': message('Query for the voltage.'),
  'read-amps': message('Query for the current.').optional(),
  'on-above': quantity('More than this counts as output on.', 'voltage', '1 V', { least: 0 }),
});

export const profileSchema = z
  .discriminatedUnion('kind', [
    digitiser,
    supply,
    powerSwitch,
    chamber,
    thermometer,
    colourSensor,
    spectrometer,
    multimeter,
  ])
  .meta({ title: 'Evenfall instrument profile' });

export type Profile = z.infer<typeof profileSchema>;
export type DigitiserProfile = z.infer<typeof digitiser>;
export type SupplyProfile = z.infer<typeof supply>;
export type SwitchProfile = z.infer<typeof powerSwitch>;
export type ThermometerProfile = z.infer<typeof thermometer>;
export type ChamberProfile = z.infer<typeof chamber>;
export type OutputState = z.infer<typeof outputState>;
export type ColourSensorProfile = z.infer<typeof colourSensor>;
export type SpectrometerProfile = z.infer<typeof spectrometer>;
export type MultimeterProfile = z.infer<typeof multimeter>;
export type Proof = NonNullable<DigitiserProfile['fresh']>[number];
/** What every profile says. */
export type SessionProfile = Pick<Profile, 'identify' | 'errors' | 'open'>;
