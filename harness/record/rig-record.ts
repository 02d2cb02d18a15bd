import * as z from 'zod';
import { finite, instant, sha256 } from './plain-schemas.ts';

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

/** A light that was read before the first claim, so that it can be read again after the last one. */
const readingBeforeSchema = z.strictObject({
  at: instant,
  /** `the lamp at full level`, or the name of the check standard. */
  light: z.string(),
  value: finite,
  /** Standard uncertainty of the mean that it is, k = 1, in the same unit. */
  standard: finite,
  unit: z.string(),
});
export type ReadingBefore = z.infer<typeof readingBeforeSchema>;

const benchAfterSchema = z.strictObject({
  /**
   * `broken`: a limit was, and what was measured since the last good look is not proved. `failed`: an instrument failed in the checks,
   * and nothing is proved either. `not checked`: the run did not come so far.
   */
  state: z.enum(['good', 'broken', 'failed', 'not checked']),
  /** When it was checked; absent where it was not. */
  at: instant.optional(),
  /** Why it was not checked, or not to the end. */
  why: z.string().nullable(),
  checks: z.array(
    z.strictObject({
      check: z.string(),
      /** `noted`: a limit is broken, and the rig file asks for a note alone. */
      result: z.enum(['good', 'noted', 'broken']),
      text: z.string(),
    }),
  ),
  /** Control chart of the check standard after the last claim, this run's measurement last. */
  standard: standardSchema.optional(),
});
export type BenchAfter = z.infer<typeof benchAfterSchema>;

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
  /**
   * What a drift is told against: the reading of this run; of a resumed run, those of the parts before come first. Absent where the rig file asks
   * for none.
   */
  readBefore: z.array(readingBeforeSchema).optional(),
  /** What the bench was like after the last claim; absent where the rig file does not ask. */
  after: benchAfterSchema.optional(),
});
