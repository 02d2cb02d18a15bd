import * as z from 'zod';

/** What a challenge of the specs found: every seeded fault, and healthy lamps. Versioned like a run record. */
export const challengeSchema = z.strictObject({
  format: z.literal('evenfall-challenge'),
  version: z.literal(2),
  /** In the order in which they are considered for a fault. */
  lamps: z.array(z.string()),
  specs: z.array(z.string()),
  seeds: z.number().int(),
  faults: z.array(
    z.strictObject({
      fault: z.string(),
      title: z.string(),
      family: z.string(),
      unit: z.string(),
      nominalSize: z.number(),
      /** The lamp that it was seeded into; null when none can have it. */
      lamp: z.string().nullable(),
      /** Specs that failed at the nominal size, for every seed. */
      caughtBy: z.array(z.string()),
      /** Specs that failed for some seeds only. */
      sometimesBy: z.array(z.string()),
      /** Specs that the fault's author expects to catch it and that did not. */
      missedBy: z.array(z.string()),
      /** Smallest size of the fault's list that a spec still caught for every seed; null when none did. */
      smallestSizeCaught: z.number().nullable(),
      /** Why the fault was not tried on this lamp. */
      notTried: z.string().nullable(),
    }),
  ),
  /** Claims that cannot fail on a lamp: nothing of them reaches it, or no fault that they are said to catch changes a figure. */
  vacuous: z.array(z.strictObject({ spec: z.string(), lamp: z.string(), why: z.string() })),
  healthy: z.strictObject({
    lamps: z.number().int(),
    /** Healthy lamps of which a claim was said to fail. */
    falseAlarms: z.number().int(),
    /** Healthy lamps with a claim that stayed undecided or broke the bench. */
    undecided: z.number().int(),
    /** How often each spec did so. */
    bySpec: z.record(z.string(), z.number().int()),
  }),
});

export type ChallengeRecord = z.infer<typeof challengeSchema>;
export type ChallengedFault = ChallengeRecord['faults'][number];
