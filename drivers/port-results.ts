import * as z from 'zod';

/**
 * What the calls of an instrument may resolve with, as `harness/bench/ports.ts` promises it: drivers of the user's own are
 * not held to it by a compiler. Fields that these schemas do not name pass.
 */

const finite = z.number('expected a finite number');
const text = z.string('expected text');

export const identityResult = z.looseObject({
  maker: text.default(''),
  model: text.default(''),
  serial: text.default(''),
  firmware: text.default(''),
});

export const lampResult = identityResult.nullable();

export const levelResult = z
  .number('expected a level from 0 to 1, or null')
  .min(0)
  .max(1)
  .nullable();

export const temperatureResult = z
  .number('expected a temperature in °C, or null')
  .min(-100)
  .max(300)
  .nullable();

const codes = z.custom<Int16Array | Int32Array | Float32Array>(
  (value) =>
    value instanceof Int16Array || value instanceof Int32Array || value instanceof Float32Array,
  'expected an Int16Array, an Int32Array or a Float32Array',
);

export const captureResults = z
  .array(
    z.looseObject({
      input: text,
      codes: codes.refine(
        (samples) => samples.length > 0,
        'expected at least one sample, found none',
      ),
      scale: finite.refine((scale) => scale !== 0, 'expected a scale other than 0'),
      offset: finite,
      unit: text,
      // No limit is written as an infinite one.
      lowest: z.union([finite, z.literal(Number.NEGATIVE_INFINITY)], 'expected a number'),
      highest: z.union([finite, z.literal(Number.POSITIVE_INFINITY)], 'expected a number'),
      rate: finite.positive('expected a rate above 0'),
      start: finite,
      standardStart: finite.min(0, 'expected 0 or more').optional(),
      proof: z.enum(['count', 'time', 'nonce'], 'expected count, time or nonce').optional(),
    }),
    'expected a list of records',
  )
  .min(1, 'expected at least one record, found none');

export const acquisitionResult = z.looseObject({
  started: finite,
  finished: z.custom<PromiseLike<unknown>>(
    (value) => typeof (value as { then?: unknown } | null)?.then === 'function',
    'expected a promise',
  ),
});

export const readingResult = z.looseObject({
  at: finite,
  integration: finite.positive('expected a time above 0'),
  X: finite,
  Y: finite,
  Z: finite,
  state: z.enum(['good', 'saturated', 'under-range'], 'expected good, saturated or under-range'),
  standardXy: finite.min(0, 'expected 0 or more').optional(),
});

export const supplyResult = z.looseObject({
  volts: finite,
  amps: finite,
  on: z.boolean('expected true or false'),
  mode: z.enum(['voltage', 'current'], 'expected voltage or current').optional(),
  protections: z.array(text, 'expected a list of words').optional(),
});

export const spectrumResult = z.looseObject({
  at: finite,
  integration: finite.positive('expected a time above 0'),
  // A wavelength that is no thousandth of a millimetre is in nanometres.
  from: finite.positive().max(1e-4, 'expected metres'),
  step: finite.positive('expected a step above 0').max(1e-4, 'expected metres'),
  values: z.custom<Float64Array>(
    (value) =>
      value instanceof Float64Array &&
      value.length > 1 &&
      value.every((one) => Number.isFinite(one)),
    'expected a Float64Array of finite numbers',
  ),
  state: z.enum(['good', 'saturated', 'under-range'], 'expected good, saturated or under-range'),
  bandwidth: finite.min(0).max(1e-6, 'expected metres').optional(),
  standardWavelength: finite.min(0).max(1e-6, 'expected metres').optional(),
  standardXy: finite.min(0, 'expected 0 or more').optional(),
});

export const switchResult = z.looseObject({
  on: z.boolean('expected true or false'),
  watts: finite.optional(),
  amps: finite.optional(),
});

export const chamberResult = z.looseObject({
  celsius: finite.min(-273.15, 'expected a temperature in °C'),
  setPoint: finite.optional(),
  on: z.boolean('expected true or false'),
  alarms: z.array(text, 'expected a list of words').optional(),
});

export const thermometerResult = z.looseObject({
  celsius: finite.min(-273.15, 'expected a temperature in °C'),
});

export const frameResult = z.looseObject({
  at: finite,
  rows: z.custom<Float64Array>(
    (value) => value instanceof Float64Array && value.length > 0 && !value.some(Number.isNaN),
    'expected a Float64Array of numbers',
  ),
  lineTime: finite.positive('expected a time above 0'),
  exposure: finite.positive('expected a time above 0'),
  saturated: z.boolean('expected true or false'),
});

export const replyResult = z.union(
  [z.null(), z.looseObject({ text }), z.looseObject({ byte: z.int().min(0).max(255) })],
  'expected { text }, { byte } from 0 to 255, or null where the lamp stayed silent',
);

export const reportResult = z.union(
  [
    z.looseObject({ value: finite, resolution: finite.min(0), from: finite, to: finite }),
    z.looseObject({ refused: text }),
  ],
  'expected { value, resolution, from, to }, or { refused } where the lamp does not say it',
);

export const refusalResult = z.union([z.null(), text], 'expected null, or a reason to refuse');

export const safeResult = z.looseObject({ confirmed: z.boolean('expected true or false') });

export const nothing = z.unknown();

export const capabilitiesResult = z.looseObject({
  inputs: z.array(text, 'expected a list of names'),
  highestRate: z.union([finite.positive(), z.literal(Number.POSITIVE_INFINITY)], 'expected a rate'),
  longestRecord: z.union(
    [finite.positive(), z.literal(Number.POSITIVE_INFINITY)],
    'expected a number of samples',
  ),
  bits: finite,
  acquisition: z.enum(['integrating', 'point'], 'expected integrating or point'),
});
