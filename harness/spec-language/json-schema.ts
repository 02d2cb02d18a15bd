import * as z from 'zod';
import type { DriverSettings, SettingsSchema } from '../bench/driver-settings.ts';
import { lampSchema } from '../bench/lamp-schema.ts';
import { instrumentSchema, rigSchema } from '../bench/rig-schema.ts';
import { metrics } from '../measure/metrics.ts';
import { specSchema } from './spec-schema.ts';

export const fileKinds = ['spec', 'lamp', 'rig'] as const;
export type FileKind = (typeof fileKinds)[number];

/** The JSON Schema (draft 2020-12) of a file kind, for completion in an editor. */
export function fileJsonSchema(kind: FileKind, drivers: DriverSettings): object {
  const schemas: Readonly<Record<FileKind, z.ZodType>> = {
    spec: specSchema,
    lamp: lampSchema,
    rig: rigWithDrivers(drivers),
  };
  return z.toJSONSchema(schemas[kind], {
    // The file as a person writes it, before figures become SI.
    io: 'input',
    override: ({ jsonSchema: { properties } }) => {
      if (typeof properties?.['metric'] === 'object') properties['metric'] = metricById;
    },
  });
}

const metricById = {
  description: 'Id of a metric.',
  anyOf: [
    { type: 'string' as const, enum: metrics.map(({ id }) => id) },
    { type: 'string' as const, pattern: '^\\$' },
  ],
};
/** The rig file with one shape of instrument for each driver, and one for drivers of the user's own. */
function rigWithDrivers(drivers: DriverSettings): z.ZodType {
  const { shape } = instrumentSchema;
  const known = [...drivers].flatMap(([driver, settings]) =>
    kindsOf(settings).map((own) =>
      z.strictObject({ ...shape, driver: z.literal(driver), ...own.shape }),
    ),
  );
  const names = [...drivers.keys()].join('|');
  const own = z.looseObject({
    ...shape,
    driver: z
      .string()
      .regex(new RegExp(`^(?!(?:${names})$)`))
      .meta({ description: 'Path of a module of your own, or name of its npm package.' }),
  });
  const { instruments } = rigSchema.shape;
  return rigSchema
    .extend({ instruments: z.record(instruments.keyType, z.union([...known, own])) })
    .meta(rigSchema.meta() ?? {});
}

function kindsOf(settings: SettingsSchema): readonly z.ZodObject[] {
  return 'options' in settings ? settings.options : [settings];
}
