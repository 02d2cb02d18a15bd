import * as z from 'zod';
import { instant, lampSaysSchema, safeStateSchema, sha256 } from './plain-schemas.ts';
import { rigSchema } from './rig-record.ts';

/** Part `number` of `of`, counted from 1, of a selection of claims that several runs share. */
export const shardSchema = z.strictObject({
  number: z.number().int().positive(),
  of: z.number().int().positive(),
  /** All claims of the selection in their order, and the digests of their files: who merges knows what has to be there. */
  whole: z.array(z.strictObject({ spec: z.string(), digest: sha256 })),
});
export type Shard = z.infer<typeof shardSchema>;

/**
 * Conditions that another bench had measured before this one took over: its run was cut off, and these were taken from it as they were
 * stored. What its safe state was is not known.
 */
export const earlierBenchSchema = z.strictObject({
  run: z.string(),
  startedAt: instant,
  rig: rigSchema,
  lamp: z.strictObject({ serial: z.string(), says: lampSaysSchema.optional() }),
  operator: z.string().optional(),
  conditions: z.array(
    z.strictObject({ spec: z.string(), key: z.string(), repeat: z.number().int() }),
  ),
});
export type EarlierBench = z.infer<typeof earlierBenchSchema>;

/** A run that was merged into another, and what of it the other one's own fields do not say. */
export const mergedShardSchema = z.strictObject({
  number: z.number().int().positive(),
  run: z.string(),
  startedAt: instant,
  endedAt: instant,
  /** Of the manifest that seals it. */
  manifest: sha256,
  /** Its bench, with the calibration of its instruments. */
  rig: rigSchema,
  lamp: z.strictObject({ serial: z.string(), says: lampSaysSchema.optional() }),
  operator: z.string().optional(),
  safeState: safeStateSchema,
  /** The claims whose conditions were run there. */
  claims: z.array(z.string()),
  /** Benches that had measured some of these before; absent where it ran all of them itself. */
  earlier: z.array(earlierBenchSchema).optional(),
});
