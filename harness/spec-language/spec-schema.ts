import * as z from 'zod';
import { name, scalar, words } from '../files/schema-parts.ts';
import { signalNames } from '../measure/signals.ts';
import { rawLinks } from '../plan/links/link-languages.ts';
import { probeSignal } from '../plan/plan.ts';
import type { WrittenStep } from '../plan/verbs/verb.ts';
import { verbs } from '../plan/verbs/verbs.ts';

/**
 * Shape of a `*.spec.yaml`. Figures stay as written here: they may be `$names` of conditions, so that what they mean
 * is checked once for each point of the matrix, when the names are known.
 */

/** A step: exactly one verb, checked later so that the words can be good. */
export const stepSchema: z.ZodType<WrittenStep> = z.lazy(() => {
  const anyVerb = verbs.map(({ verb, about, schema }) => {
    const own = schema(stepSchema).meta({ description: about });
    return [verb, own.optional()] as const;
  });
  return z.strictObject(Object.fromEntries(anyVerb)).meta({ minProperties: 1, maxProperties: 1 });
});

export const captureSchema = z.strictObject({
  signal: z
    .enum([...signalNames, probeSignal])
    .meta({ description: 'What is recorded; probe: a variable that the firmware names.' }),
  of: z
    .string()
    .meta({
      description: 'each-channel, one channel, or light; name of a probe.',
      examples: ['each-channel'],
    })
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
  signal: z
    .enum(signalNames)
    .optional()
    .meta({ description: 'Signal to read, for a metric that can read several.' }),
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
  channels: z.int().min(1).max(16).optional().meta({ description: 'At least so many channels.' }),
  links: z.array(z.enum(rawLinks)).optional(),
  'any-link': z
    .array(z.enum(rawLinks))
    .min(1)
    .optional()
    .meta({ description: 'One of these links is enough; each-link is those of them it has.' }),
  'on-loss': z.enum(['hold', 'off']).optional().meta({
    description:
      'What the lamp does when it loses the signal of the links named, or of DMX and sACN.',
  }),
  'power-on': z
    .literal('last')
    .optional()
    .meta({ description: 'Its last level comes back with its power (as-delivered: power-on).' }),
  'slot-bits': z
    .union([z.literal(8), z.literal(16)])
    .optional()
    .meta({ description: 'Bits of a value on DMX512 and sACN, in one slot or two.' }),
  supply: z.enum(['dc', 'mains']).optional(),
  stage: z.enum(['linear', 'fixed-off-time']).optional(),
  modulation: z.enum(['pulse-density', 'pwm', 'analogue']).optional(),
  'tunable-white': z
    .literal(true)
    .optional()
    .meta({ description: 'The lamp mixes colour temperatures by itself, over DALI.' }),
  banks: z
    .array(z.int().min(0).max(255))
    .optional()
    .meta({ description: 'Memory banks on DALI that tell of the lamp: 1, 202, 205, 206, 207.' }),
  rdm: z.literal(true).optional().meta({ description: 'The lamp speaks RDM on its DMX512 line.' }),
  primaries: z
    .literal(true)
    .optional()
    .meta({ description: 'Every channel is a primary on DALI, which has six.' }),
  simulated: z
    .literal(true)
    .optional()
    .meta({ description: 'It takes weeks, and is for the simulated lamp alone.' }),
  mixes: z.array(name('A mix that the lamp file must name.')).optional(),
});

export const ambientSchema = z.strictObject({
  temperature: scalar('What the air about the lamp is to have.', '60 °C', '$temperature'),
  soak: scalar(
    'It has had it for so long before; the rig may ask for longer.',
    '30 min',
  ).optional(),
  within: scalar('It may differ by this; the rig may ask for less.', '2 K').optional(),
});
export type AmbientShape = z.infer<typeof ambientSchema>;

const conditionValues = z.union([
  z.enum(['each-channel', 'each-mix', 'each-link']),
  z
    .array(z.union([z.string(), z.number()]))
    .min(1)
    .max(200),
]);

export const specSchema = z
  .strictObject({
    spec: name('Id of the claim; never change it.'),
    claim: words('What must be true of the light, in one sentence.'),
    traces: z.array(words('Id of a requirement.')).optional(),
    tags: z.array(name('Tag to select by.')).optional(),
    needs: needs
      .optional()
      .meta({ description: 'What the lamp must have; otherwise the claim is not run.' }),
    repeat: z
      .int()
      .min(1)
      .max(1000)
      .optional()
      .meta({ description: 'How often each condition is run; once without it.' }),
    conditions: z.record(name('Name of the condition, used as $name.'), conditionValues).optional(),
    ambient: ambientSchema.optional().meta({
      description: 'The air about the lamp, in a chamber; that of the rig without it.',
    }),
    stimulus: z.array(stepSchema).min(1).meta({ description: 'What is commanded, in order.' }),
    capture: z.array(captureSchema).optional().meta({ description: 'What is recorded meanwhile.' }),
    criteria: z
      .array(criterionSchema)
      .optional()
      .meta({ description: 'What the records are judged by.' }),
  })
  .meta({ title: 'Evenfall spec file' });
export type SpecFileShape = z.infer<typeof specSchema>;
