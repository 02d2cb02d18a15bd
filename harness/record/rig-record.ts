import * as z from 'zod';
import { finite, sha256 } from './plain-schemas.ts';

const instrumentSchema = z.strictObject({
  name: z.string(),
  driver: z.string(),
  simulated: z.boolean(),
  identity: z.strictObject({
    maker: z.string(),
    model: z.string(),
    serial: z.string(),
    firmware: z.string(),
  }),
  calibration: z
    .strictObject({
      date: z.string(),
      due: z.string(),
      certificate: z.string(),
      state: z.enum(['valid', 'due soon', 'overdue']),
    })
    .nullable(),
});

const standardSchema = z.strictObject({
  standard: z.string(),
  signal: z.string(),
  of: z.string(),
  unit: z.string(),
  /** Half-widths of 2 s and 3 s about the centre; null while the history is too short. */
  limits: z
    .strictObject({ centre: finite, warning: finite, action: finite, baseline: z.number().int() })
    .nullable(),
  points: z.array(
    z.strictObject({
      at: z.string(),
      value: finite,
      standard: finite,
      rule: z.enum(['beyond 3 s', '2 of 3 beyond 2 s']).nullable(),
    }),
  ),
});

/** The bench of a run: its files, its instruments and what is known of them. */
export const rigSchema = z.strictObject({
  name: z.string(),
  place: z.string(),
  file: z.string(),
  digest: sha256,
  simulated: z.boolean(),
  ambient: finite,
  instruments: z.array(instrumentSchema),
  notes: z.record(z.string(), z.union([z.string(), finite])),
  /** Control chart of the check standard, this run's measurement last; absent where the rig has none. */
  standard: standardSchema.optional(),
});
