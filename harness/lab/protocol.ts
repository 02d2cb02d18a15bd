import * as z from 'zod';
import { isRunFolderName } from '../archive/folder-name.ts';
import { isSafeFileName } from '../archive/safe-file-name.ts';
import { captureChoices } from '../record/kept-captures.ts';
import { sha256 } from '../record/plain-schemas.ts';
import { conditionSchema } from '../record/run-record.ts';
import { earlierBenchSchema, shardSchema } from '../record/shard-record.ts';

/** What passes between the lab, those who submit and rigs: JSON over HTTP, checked by these on both sides. */

const word = z.string().min(1).max(200);
/** Below the folder that inputs are laid out in: no step up, no absolute path. */
const inputName = z
  .string()
  .min(1)
  .max(500)
  .refine(isBelow, { error: 'expected a path below the folder of the submission' });

function isBelow(name: string): boolean {
  if (name.startsWith('/') || name.includes('\\') || name.includes('\0')) return false;
  return name.split('/').every((part) => part !== '' && part !== '.' && part !== '..');
}

const inputFile = z.strictObject({ file: inputName, digest: sha256 });
export type InputFile = z.infer<typeof inputFile>;

/** s */
const shortestShard = 1;
const longestShard = 86_400;
const mostSpecs = 10_000;
const mostShards = 1000;

/** A selection of claims to be judged on the rigs of the lab. */
export const requestSchema = z.strictObject({
  lamp: inputFile,
  specs: z.array(inputFile).min(1).max(mostSpecs),
  firmware: inputFile.optional(),
  quarantine: inputFile.optional(),
  tags: z.array(word).max(100),
  only: z.array(word).max(mostSpecs),
  /** Of the specs, those that did not pass in this run. */
  failedIn: z.strictObject({ run: word, claims: z.array(word).min(1).max(mostSpecs) }).optional(),
  /** Absent: as the lamp says, or as its file is called. */
  build: word.optional(),
  serial: word.optional(),
  operator: word.optional(),
  seed: z.number().int().nonnegative(),
  /** On simulated rigs; else on rigs of real instruments alone. */
  simulated: z.boolean(),
  /** Specs that flash may run: whoever operates the rigs has read the cautions. */
  flashingOk: z.boolean(),
  captures: z.enum(captureChoices),
  /** How often a condition is measured again that is inconclusive and may be decided by it. */
  again: z.number().int().min(1).max(5).optional(),
  /** How many shards; absent: as many as their time asks for. */
  shards: z.number().int().min(1).max(mostShards).optional(),
  /** What a shard may take on one rig, about, s. */
  shardTime: z.number().min(shortestShard).max(longestShard),
});
export type SubmissionRequest = z.infer<typeof requestSchema>;

export const submittedSchema = z.strictObject({
  submission: z.uuid(),
  shards: z.array(
    z.strictObject({
      number: z.number().int(),
      claims: z.number().int(),
      rigs: z.array(z.string()),
    }),
  ),
});
export type Submitted = z.infer<typeof submittedSchema>;

export const digestsSchema = z.strictObject({ digests: z.array(sha256).max(100_000) });

export const registrationSchema = z.strictObject({
  /** Name and text of the rig file. Its lamp where only one kind can be put on it. */
  file: word,
  text: z.string().max(2 ** 20),
  lamp: word.nullable(),
  /** Version of Evenfall, and on a simulated rig the digest of its code: runs of different ones cannot be merged. */
  version: word,
  code: sha256.optional(),
});
export type Registration = z.infer<typeof registrationSchema>;

const captureFile = z.strictObject({
  file: z.string().max(300).refine(isSafeFileName, { error: 'expected the file of a capture' }),
  digest: sha256,
});

/** A condition that has ended and is stored at the rig. */
export const storedConditionSchema = z.strictObject({
  run: word,
  spec: word,
  key: z.string().max(2000),
  repeat: z.number().int(),
  /** Of its record, as JSON. */
  record: sha256,
  captures: z.array(captureFile).max(10_000),
});
export type StoredCondition = z.infer<typeof storedConditionSchema>;

/** The bench of a run that has begun, without the conditions that it will have measured. */
export const benchSchema = earlierBenchSchema.omit({ conditions: true });
export type BenchOfRun = z.infer<typeof benchSchema>;

/** A shard that a rig has taken; null where there is nothing for it. */
export const leaseSchema = z.strictObject({
  lease: z.uuid(),
  submission: z.uuid(),
  request: requestSchema,
  shard: shardSchema,
  claims: z.array(z.string()),
  /** What other benches had stored of it. */
  earlier: z.array(earlierBenchSchema),
  conditions: z.array(storedConditionSchema),
});
export type Lease = z.infer<typeof leaseSchema>;

export const aliveSchema = z.strictObject({ condition: z.string().max(2000).nullable() });

export const handBackSchema = z.strictObject({
  why: z.string().max(2000),
  /** Not offered to this rig again for so long, s. */
  pause: z.number().min(0).max(86_400),
});

/** A sealed run of a shard: every file of its folder. */
export const endedSchema = z.strictObject({
  run: word,
  files: z
    .array(
      z.strictObject({
        file: z.string().max(300).refine(isFileOfRun, { error: 'expected a file of a run folder' }),
        digest: sha256,
      }),
    )
    .min(1)
    .max(200_000),
});
export type EndedShard = z.infer<typeof endedSchema>;

function isFileOfRun(name: string): boolean {
  return isBelow(name) && name.split('/').length <= 3 && isSafeFileName(name);
}

export const leaseStateSchema = z.strictObject({ state: z.enum(['yours', 'ended', 'gone']) });
export type LeaseState = z.infer<typeof leaseStateSchema>['state'];

export const holderSchema = z.strictObject({
  name: z
    .string()
    .regex(/^[a-z0-9][a-z0-9.-]{0,62}$/i, 'expected letters, digits, dots and hyphens, at most 63'),
  kind: z.enum(['person', 'rig']),
  roles: z.array(z.enum(['submit', 'run', 'sign', 'administer'])),
});

export const scheduleSchema = z.strictObject({
  name: z.string().regex(/^[a-z0-9][a-z0-9-]{0,40}$/, 'expected small letters, digits and hyphens'),
  /** Minute, hour, day of the month, month, day of the week, in an IANA time zone. */
  cron: word,
  zone: word,
  /** `{date}` in the name of its build becomes the day (UTC). */
  request: requestSchema,
});
export type ScheduleRequest = z.infer<typeof scheduleSchema>;

/** What did not pass in a run of the lab. */
export const failedSchema = z.strictObject({
  run: z.string(),
  claims: z.array(z.string()),
  folder: z.string(),
  build: z.string(),
  /** ISO 8601 UTC */
  startedAt: z.string(),
  /** How many claims the run has, and how many of them apply to the lamp. */
  all: z.number().int(),
  applies: z.number().int(),
});

export const refusalSchema = z.object({ refused: z.string(), kind: z.string() });

/** A condition's record as it came from another machine. */
export function readCondition(bytes: Uint8Array): z.infer<typeof conditionSchema> {
  return conditionSchema.parse(JSON.parse(Buffer.from(bytes).toString('utf8')));
}

const signoffFile = z
  .string()
  .max(300)
  .refine((name) => name.startsWith('signoffs/') && isFileOfRun(name), {
    error: 'expected the file of a sign-off',
  });

/** What somebody has before their eyes who signs: nobody signs over the head of another. */
const seenSchema = z.strictObject({
  /** SHA-256 of the manifest. */
  manifest: sha256,
  signoffs: z.array(z.strictObject({ file: signoffFile, sha256 })).max(10_000),
  /** SHA-256 of the last line of the ledger of decisions; null: it has none. */
  ledger: sha256.nullable(),
});
export type SeenRun = z.infer<typeof seenSchema>;

/** A stored run that somebody wants to sign. */
export const runToSignSchema = z.strictObject({
  /** Name of its folder. */
  folder: z
    .string()
    .refine((name) => isRunFolderName(name) && !name.includes('/') && isSafeFileName(name), {
      error: 'expected the name of a run folder',
    }),
  seen: seenSchema,
  /** Policy that the lab holds decisions against. */
  policy: z
    .strictObject({ name: z.string(), version: z.number().int(), digest: sha256 })
    .nullable(),
});
export type RunToSign = z.infer<typeof runToSignSchema>;

/** Characters of an envelope; each names the claims of its run. */
const mostEnvelope = 8 * 2 ** 20;
const envelopeSchema = z.strictObject({ file: signoffFile, text: z.string().max(mostEnvelope) });

/** A sign-off that was made on the signer's own computer, on a copy of the run. */
export const signoffSchema = z.strictObject({
  seen: seenSchema,
  /** PEM */
  publicKey: z.string().max(4096),
  testResult: envelopeSchema,
  release: envelopeSchema,
  /** What comes to the ledger of decisions with it. */
  lines: z.string().max(mostEnvelope),
});
export type SentSignoff = z.infer<typeof signoffSchema>;
