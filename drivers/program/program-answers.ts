import * as z from 'zod';

/** What a program answers on stdout, one JSON value a call. README.md in this folder shows each. */

const figure = z.number();

export const identityAnswer = z.looseObject({
  maker: z.string().default(''),
  model: z.string().default(''),
  serial: z.string().default(''),
  firmware: z.string().default(''),
});

export const supplyAnswer = z.looseObject({
  volts: figure,
  amps: figure,
  on: z.boolean(),
  mode: z.enum(['voltage', 'current']).optional(),
  protections: z.array(z.string()).optional(),
});

export const switchAnswer = z.looseObject({
  on: z.boolean(),
  watts: figure.optional(),
  amps: figure.optional(),
});

export const thermometerAnswer = z.looseObject({ celsius: figure });

export const chamberAnswer = z.looseObject({
  celsius: figure,
  'set-point': figure.optional(),
  on: z.boolean(),
  alarms: z.array(z.string()).optional(),
});

export const colourAnswer = z.looseObject({
  X: figure,
  Y: figure,
  Z: figure,
  state: z.enum(['good', 'saturated', 'under-range']),
});

/** Wavelengths in nm, values in W/(m² nm). */
export const spectrumAnswer = z.looseObject({
  from: figure.positive(),
  step: figure.positive(),
  values: z.array(figure).min(2),
  state: z.enum(['good', 'saturated', 'under-range']),
  bandwidth: figure.min(0).optional(),
  'standard-wavelength': figure.min(0).optional(),
  'standard-xy': figure.min(0).optional(),
});

export const recordAnswer = z.looseObject({
  rate: figure.positive(),
  /** Unix time of the first sample, s, and its standard uncertainty. */
  began: figure.optional(),
  'standard-began': figure.min(0).default(1e-3),
  inputs: z.record(
    z.string(),
    z.looseObject({
      samples: z.array(figure),
      scale: figure.default(1),
      offset: figure.default(0),
      lowest: figure.default(Number.NEGATIVE_INFINITY),
      highest: figure.default(Number.POSITIVE_INFINITY),
    }),
  ),
});

/** Nothing, or anything: the exit code says whether it was done. */
export const doneAnswer = z.unknown();
