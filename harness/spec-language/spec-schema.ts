import * as z from 'zod';
import { name, words } from '../files/schema-parts.ts';
import { signalNames } from '../measure/signals.ts';

/**
 * Shape of a `*.spec.yaml`. Figures stay as written here: they may be `$names` of conditions, so that what they mean
 * is checked once for each point of the matrix, when the names are known.
 */
const scalar = (description: string, ...examples: readonly (string | number)[]) =>
  z.union([z.string(), z.number()]).meta({ description, examples: [...examples] });

const mix = z
  .union([
    z.string().meta({ description: 'A mix that the lamp file names; `all` exists always.' }),
    z.record(z.string(), scalar('Intensity of the channel.', '65 %')),
  ])
  .meta({ description: 'A named mix is whole; a written one changes the channels that it names.' });

const level = scalar('Dim level of the whole lamp; `bottom` is the lowest of the lamp.', '100 %');
const link = z
  .string()
  .meta({ description: 'Link that carries it: console, dali, dmx, sacn.', examples: ['dmx'] });

const expect = scalar('What the lamp must answer: a line, a byte (0xff), `understood`, `silence`.');

const slotMessage = {
  'start-code': scalar('START code; 0 is light.', 0).optional(),
};
const slotList = z.array(z.union([z.string(), z.number()])).max(512);

const send = z
  .strictObject({
    console: words('One line for the console.').optional(),
    dali: z
      .string()
      .meta({
        description: 'Two or three bytes in hex, or a command by name.',
        examples: ['ff 05', 'query-actual-level'],
      })
      .optional(),
    to: z
      .string()
      .meta({ description: 'lamp (default), group, or broadcast; for a DALI command by name.' })
      .optional(),
    value: scalar('What goes with a DALI command by name: a level, a scene, a byte.').optional(),
    twice: z.boolean().optional().meta({ description: 'Twice within 100 ms.' }),
    dmx: slotList.optional().meta({ description: 'Slot values from slot 1 on.' }),
    sacn: slotList.optional().meta({ description: 'Slot values from slot 1 on.' }),
    ...slotMessage,
    priority: scalar('sACN priority, 0 to 200.', 100).optional(),
    preview: z.boolean().optional(),
    terminated: z.boolean().optional(),
    sequence: scalar('sACN sequence number instead of the running one.', 5).optional(),
    expect: expect.optional(),
  })
  .meta({ description: 'Something sent as it is.' });

/** The verbs of a stimulus; a step has exactly one. */
export const verbs = {
  set: z
    .strictObject({ level: level.optional(), mix: mix.optional(), link: link.optional() })
    .meta({ description: 'Take a level, a mix or both at once.' }),
  fade: z
    .strictObject({
      level: level.optional(),
      mix: mix.optional(),
      over: scalar('Fade time.', '2 s'),
      wait: z
        .boolean()
        .optional()
        .meta({ description: 'false: go on with the next step at once.' }),
      link: link.optional(),
    })
    .meta({ description: 'Fade to a level, a mix or both.' }),
  hold: scalar('Let time pass.', '500 ms'),
  send,
  carry: z
    .strictObject({ link, on: z.boolean() })
    .meta({ description: 'Stop or go on sending on a link that sends all the time.' }),
  noise: z
    .strictObject({ link, bytes: scalar('How many random bytes.', 200) })
    .meta({ description: 'Random bytes that are no message, the same for the same seed.' }),
  supply: z
    .strictObject({
      volts: scalar('low, nominal or high of the lamp file, or a voltage.', '44 V').optional(),
      output: z.enum(['on', 'off']).optional(),
    })
    .meta({ description: "Change the lamp's supply." }),
  reset: z.union([z.null(), z.literal('now')]).meta({ description: 'Restart the firmware.' }),
  mark: words('Name of the window that begins here and lasts to the next mark.'),
  repeat: z.strictObject({
    times: scalar('How often.', 10),
    get steps() {
      return z.array(step).min(1);
    },
  }),
  random: z
    .strictObject({
      commands: scalar('How many random settings.', 1000),
      every: scalar('From one to the next.', '20 ms'),
    })
    .meta({ description: 'A storm of random settings, the same for the same seed.' }),
};

const anyVerb = Object.fromEntries(
  Object.entries(verbs).map(([verb, schema]) => [verb, schema.optional()]),
) as { readonly [V in keyof typeof verbs]: z.ZodOptional<(typeof verbs)[V]> };

export const step: z.ZodType<StepShape> = z.lazy(() =>
  z.strictObject(anyVerb).meta({ minProperties: 1, maxProperties: 1 }),
);

/** A step as parsed: one of the verbs is present (checked later, so that the words can be good). */
export interface StepShape {
  readonly set?:
    | { level?: Raw | undefined; mix?: MixShape | undefined; link?: string | undefined }
    | undefined;
  readonly fade?:
    | {
        level?: Raw | undefined;
        mix?: MixShape | undefined;
        over: Raw;
        wait?: boolean | undefined;
        link?: string | undefined;
      }
    | undefined;
  readonly hold?: Raw | undefined;
  readonly send?: z.infer<typeof send> | undefined;
  readonly carry?: { link: string; on: boolean } | undefined;
  readonly noise?: { link: string; bytes: Raw } | undefined;
  readonly supply?: { volts?: Raw | undefined; output?: 'on' | 'off' | undefined } | undefined;
  readonly reset?: null | 'now' | undefined;
  readonly mark?: string | undefined;
  readonly repeat?: { times: Raw; steps: StepShape[] } | undefined;
  readonly random?: { commands: Raw; every: Raw } | undefined;
}

/** A scalar as written. */
export type Raw = string | number;
export type MixShape = string | Record<string, Raw>;
export type SendShape = z.infer<typeof send>;

export const captureSchema = z.strictObject({
  signal: z.enum(signalNames),
  of: z
    .string()
    .meta({ description: 'each-channel, one channel, or light.', examples: ['each-channel'] })
    .optional(),
  rate: scalar('Sampling rate of a waveform.', '10 kHz').optional(),
  during: words('Mark that opens the window; the whole condition without it.').optional(),
  integration: scalar('Colour: integration time of a reading.', '100 ms').optional(),
  every: scalar('Colour: from one reading to the next.', '200 ms').optional(),
  exposure: scalar('Frame: exposure time.', '1/1000 s').optional(),
  'frame-rate': scalar('Frame: frames per second.', '25 fps').optional(),
});
export type CaptureShape = z.infer<typeof captureSchema>;

const limit = scalar('A figure in the unit of the metric.', '20 ms');

/** Parameters of the metric stand beside these keys. */
export const criterionSchema = z.looseObject({
  metric: words('Id of a metric.'),
  of: words('each-channel, one channel, light, or lamp.').optional(),
  signal: z.enum(signalNames).optional(),
  during: words('Mark that opens the window.').optional(),
  reference: words('Mark that opens the window to compare with.').optional(),
  'at-most': limit.optional(),
  'at-least': limit.optional(),
  between: z.tuple([limit, limit]).optional(),
  target: scalar('A figure, or one that follows from the lamp file.', 'stage.ripple').optional(),
  tolerance: scalar('Half-width about the target.', '± 5 %', '± 20 ms').optional(),
});
export type CriterionShape = z.infer<typeof criterionSchema>;

const needs = z.strictObject({
  channels: z.int().min(1).max(16).optional(),
  links: z.array(z.enum(['console', 'dali', 'dmx', 'sacn'])).optional(),
  'on-loss': z.enum(['hold', 'off']).optional(),
  supply: z.enum(['dc', 'mains']).optional(),
  stage: z.enum(['linear', 'fixed-off-time']).optional(),
  modulation: z.enum(['pulse-density', 'pwm', 'analogue']).optional(),
  mixes: z.array(name('A mix that the lamp file must name.')).optional(),
});

export const conditionValues = z.union([
  z.enum(['each-channel', 'each-mix']),
  z
    .array(z.union([z.string(), z.number()]))
    .min(1)
    .max(200),
]);

export const specSchema = z
  .strictObject({
    spec: name('Id of the claim, the same for ever.'),
    claim: words('What must be true of the light, in one sentence.'),
    traces: z.array(words('Id of a requirement.')).optional(),
    tags: z.array(name('Tag to select by.')).optional(),
    needs: needs
      .optional()
      .meta({ description: 'What the lamp must have; otherwise the claim is not run.' }),
    repeat: z.int().min(1).max(1000).optional(),
    conditions: z.record(name('Name of the condition, used as $name.'), conditionValues).optional(),
    stimulus: z.array(step).min(1),
    capture: z.array(captureSchema).optional(),
    criteria: z.array(criterionSchema).optional(),
  })
  .meta({ title: 'Evenfall spec file' });
export type SpecFileShape = z.infer<typeof specSchema>;
