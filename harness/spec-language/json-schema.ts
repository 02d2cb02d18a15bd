import * as z from 'zod';
import { lampSchema } from '../bench/lamp-schema.ts';
import { rigSchema } from '../bench/rig-schema.ts';
import { metrics } from '../measure/metrics.ts';
import { specSchema } from './spec-schema.ts';

export const fileKinds = ['spec', 'lamp', 'rig'] as const;
export type FileKind = (typeof fileKinds)[number];

const schemas: Readonly<Record<FileKind, z.ZodType>> = {
  spec: specSchema,
  lamp: lampSchema,
  rig: rigSchema,
};

/** The JSON Schema (draft 2020-12) of a file kind, for completion in an editor. */
export function fileJsonSchema(kind: FileKind): object {
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
