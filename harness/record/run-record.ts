import * as z from 'zod';
import { finite, instant, lampSaysSchema, safeStateSchema, sha256 } from './plain-schemas.ts';
import { quarantineSchema } from './quarantine.ts';
import { rigSchema } from './rig-record.ts';
import { earlierBenchSchema, mergedShardSchema, shardSchema } from './shard-record.ts';

/**
 * What a run is, as stored in `run.json`. All figures SI, all instants either ISO 8601 UTC (wall clock) or seconds on
 * a condition's own time line. A change that an older reader could misread raises `version`.
 */
export const recordFormat = 'evenfall-run';
export const recordVersion = 2;
/** Version 1 knew no `not applicable`: a claim that the lamp cannot have is `not run` there. */
const readVersions = [1, recordVersion] as const;

const verdict = z.enum(['pass', 'fail', 'inconclusive', 'error', 'not run']);
const claimVerdict = z.enum([...verdict.options, 'not applicable']);
/** Curves are most of a record: checked in place, since an element-wise parse would copy them all. */
const figures = z
  .custom<number[]>((value) => Array.isArray(value), 'Invalid input: expected array')
  .check(({ value, issues }) => {
    const index = value.findIndex((figure) => !Number.isFinite(figure));
    if (index < 0) return;
    issues.push({
      code: 'custom',
      path: [index],
      message: 'Invalid input: expected number',
      input: value[index],
    });
  });
const axis = z.strictObject({
  label: z.string(),
  unit: z.string(),
  /** The unit to show the figures in, where it is another. */
  shown: z.string().optional(),
  scale: z.enum(['linear', 'log']),
});
export const chartSchema = z.strictObject({
  kind: z.enum(['waveform', 'spectrum', 'path', 'arrivals', 'bands', 'curve', 'spectrogram']),
  title: z.string(),
  x: axis,
  y: axis,
  lines: z.array(
    z.strictObject({
      name: z.string(),
      role: z.enum(['measured', 'commanded', 'fit', 'ideal', 'limit', 'corridor', 'target']),
      x: figures,
      y: figures,
    }),
  ),
  marks: z.array(z.strictObject({ at: finite, label: z.string() })),
});
const evidence = z.strictObject({
  /** Of a sealed run they lie in `curves.bin`, and `run.json` has none. */
  charts: z.array(chartSchema),
  notes: z.record(z.string(), z.union([finite, z.string()])),
});
const contribution = z.strictObject({
  name: z.string(),
  standard: finite,
  /**
   * Of what may differ from one measurement to the next: its standard uncertainty without the allowance for few observations. Absent of what
   * is the same in all.
   */
  random: finite.optional(),
});

const outcome = z.discriminatedUnion('measured', [
  z.strictObject({ measured: z.literal(true), value: finite }),
  z.strictObject({
    measured: z.literal(false),
    reason: z.string(),
    found: finite.optional(),
    needed: finite.optional(),
    unit: z.string().optional(),
    note: z.string().optional(),
  }),
]);

const findingSchema = z.strictObject({
  metric: z.string(),
  title: z.string(),
  of: z.string(),
  /** SI unit of value, uncertainty and limits; and the unit to show them in. */
  unit: z.string(),
  shown: z.string(),
  source: z.string(),
  /** Name of the window, or null for the whole condition. */
  during: z.string().nullable(),
  /** Line of the spec file that asks for it; absent where no criterion does, and in runs of earlier versions. */
  line: z.number().int().optional(),
  outcome,
  uncertainty: z
    .strictObject({
      expanded: finite,
      coverageFactor: finite,
      contributions: z.array(contribution),
      /** The least that the record would have shown; absent where nothing can hide. */
      floor: finite.optional(),
    })
    .nullable(),
  limits: z.strictObject({
    lower: finite.nullable(),
    upper: finite.nullable(),
    target: finite.nullable(),
    text: z.string(),
  }),
  rule: z.enum(['simple', 'guarded']),
  verdict,
  /** Why, in one sentence, for every verdict but `pass`. */
  reason: z.string().nullable(),
  /** Ids of the captures whose samples the metric read. */
  captures: z.array(z.string()),
  /**
   * Of a condition that was measured several times: the value of each measurement, null where it had none; and whether their mean is
   * judged, or the worst of them.
   */
  repeated: z
    .strictObject({ by: z.enum(['mean', 'worst']), values: z.array(finite.nullable()) })
    .optional(),
  evidence,
});

const captureFields = z.strictObject({
  /** Unique within its condition, e.g. `channel-current-warm-full`; runs of earlier versions tell captures by their files. */
  id: z.string().optional(),
  /** File name inside `captures/`, e.g. `0003-channel-current-warm-full.codes`; in runs of earlier versions it ends in `.npy`. */
  file: z.string(),
  signal: z.string(),
  of: z.string(),
  instrument: z.string(),
  input: z.string(),
  rate: finite,
  start: finite,
  samples: z.number().int(),
  unit: z.string(),
  /** value = code * scale + offset, in `unit`. */
  scale: finite,
  offset: finite,
  clipped: z.number().int(),
  /** Codes at or beyond these are clipped; absent where the instrument names none. */
  lowest: finite.optional(),
  highest: finite.optional(),
  /** Of a camera's frame, s: time from row to row, and exposure of each. */
  frame: z.strictObject({ lineTime: finite, exposure: finite }).optional(),
  /** Standard uncertainty of `start`, s; absent where it is known. */
  standardStart: finite.optional(),
  /**
   * How a record was had: all at once, in several passes (one input or one record at a time), one channel lit at a time; or beside
   * those that the claim asks for, as evidence of what the bench did: no finding rests on it.
   */
  taken: z.enum(['at-once', 'multiplexed', 'solo', 'alongside']),
  /** False: its samples were judged and left away, since the run was to keep only some. Absent: they are in the folder. */
  stored: z.literal(false).optional(),
});
const captureSchema = captureFields.transform(({ id, ...capture }) => ({
  id: id ?? capture.file,
  ...capture,
}));

const commandSchema = z.strictObject({
  at: finite,
  link: z.string(),
  verb: z.string(),
  text: z.string(),
  reply: z.string().nullable(),
  /** Standard uncertainty of the instant at which it took effect, s; absent where that is `at`. */
  standardInstant: finite.optional(),
  /** When its last message left this computer, and when it was confirmed; the lamp acted in between. */
  left: finite.optional(),
  confirmed: finite.optional(),
  /** Of a stream, which confirms nothing: how long the first frame with it took to leave. */
  lasted: finite.optional(),
  /** Lines that the lamp said beside its answer, such as those of its log; the first of them. */
  besides: z.array(z.string()).optional(),
});

const readingFields = z.strictObject({
  /** Id of the capture that it belongs to; runs of earlier versions have one for each subject. */
  capture: z.string().optional(),
  at: finite,
  integration: finite,
  X: finite,
  Y: finite,
  Z: finite,
  state: z.enum(['good', 'saturated', 'under-range']),
  of: z.string(),
  standardXy: finite.exactOptional(),
  /** Spectral irradiance that it was computed from, W/m³ over m; of the first reading of a capture. */
  spectrum: z.strictObject({ from: finite, step: finite, values: figures }).exactOptional(),
});
const readingSchema = readingFields.transform(({ capture, ...reading }) => ({
  capture: capture ?? (reading.of === 'lamp' ? 'colour' : `colour-${reading.of}`),
  ...reading,
}));

/** What the supply said while the condition ran. Instants on the condition's time line, s. */
const supplySchema = z.strictObject({
  instrument: z.string(),
  /** Thinned out in a long condition: the first, the last, and whatever differs stay. */
  readings: z.array(
    z.strictObject({
      at: finite,
      volts: finite,
      amps: finite,
      on: z.boolean(),
      mode: z.enum(['voltage', 'current']).optional(),
      /** Protections that acted since the reading before. */
      protections: z.array(z.string()).optional(),
    }),
  ),
  /** How many were taken. */
  taken: z.number().int(),
});

/** How it is known that the records of a digitiser are new ones. */
const freshnessSchema = z.strictObject({
  instrument: z.string(),
  /** By its own count or time, by something set for the record alone, by the light that was dark before; or not. */
  proof: z.enum(['count', 'time', 'nonce', 'light', 'not proved']),
});

/** The air about the lamp while the condition ran. Instants on the condition's time line, s. */
const ambientSchema = z.strictObject({
  instrument: z.string(),
  /** °C, and by how many K it was allowed to differ. */
  wanted: finite,
  within: finite,
  /** s that it had been there before the lamp was switched on. */
  soaked: finite,
  /** Thinned out in a long condition. */
  readings: z.array(
    z.strictObject({
      at: finite,
      celsius: finite,
      /** By a thermometer beside the lamp, where the rig has one. */
      probe: finite.exactOptional(),
    }),
  ),
  taken: z.number().int(),
  /** What the lamp said that its board has, °C; absent where it cannot say. */
  lamp: z.array(z.strictObject({ at: finite, celsius: finite })).optional(),
});

/** What a relay in the lamp's supply said. Instants on the condition's time line, s. */
const switchSchema = z.strictObject({
  instrument: z.string(),
  readings: z.array(
    z.strictObject({
      at: finite,
      on: z.boolean(),
      amps: finite.optional(),
      watts: finite.optional(),
    }),
  ),
});

type Segment = [number, number, number, number];
/** A storm of commands makes ten thousand: checked in place, as curves are. */
const segments = z
  .custom<Segment[]>((value) => Array.isArray(value), 'Invalid input: expected array')
  .check(({ value, issues }) => {
    const index = value.findIndex(
      (segment) =>
        !Array.isArray(segment) || segment.length !== 4 || !segment.every(Number.isFinite),
    );
    if (index < 0) return;
    issues.push({
      code: 'custom',
      path: [index],
      message: 'Invalid input: expected four numbers',
      input: value[index],
    });
  });

/** What the light ought to have done, per channel: [from, to, level at from, level at to]; enough to judge again. */
export const commandedSchema = z.array(
  z.strictObject({
    channel: z.string(),
    segments,
  }),
);

/** Hexadecimal digits, then `+` and how many bytes of 0 follow them. */
const bytes = z.string().regex(/^([0-9a-f]{2})*(\+[1-9][0-9]{0,4})?$/);
const event = { at: finite };
/** What was sent to the lamp; instants on the condition's time line, s, below 0 for what came before it. */
const heardSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('console'), ...event, line: z.string() }),
  z.strictObject({ kind: z.literal('console-bytes'), ...event, bytes }),
  z.strictObject({ kind: z.literal('dali'), ...event, frame: bytes }),
  z.strictObject({ kind: z.literal('dali-bus'), ...event, powered: z.boolean() }),
  z.strictObject({
    kind: z.literal('dmx'),
    ...event,
    startCode: z.number().int(),
    slots: bytes,
    /** No break came before it. */
    unframed: z.literal(true).optional(),
  }),
  z.strictObject({ kind: z.literal('dmx-stops'), ...event }),
  z.strictObject({ kind: z.literal('sacn'), ...event, datagram: bytes }),
  z.strictObject({ kind: z.literal('supply'), ...event, volts: finite }),
  z.strictObject({ kind: z.literal('reset'), ...event }),
  z.strictObject({ kind: z.literal('air'), ...event, celsius: finite }),
]);
/** What the firmware logged in one pass; instants on the condition's time line, s, below 0 before it. `solo`: only that channel was lit. */
const loggedSchema = z.strictObject({
  solo: z.string().nullable(),
  lines: z.array(z.strictObject({ at: finite, text: z.string() })),
  /** Lines between the first and the last that were kept: how many, bytes of their texts, instants of the first and the last of them. */
  dropped: z
    .strictObject({ lines: z.number().int(), bytes: z.number().int(), from: finite, to: finite })
    .optional(),
});
/**
 * A variable of the firmware in one pass: it had each of `values` from the instant in `at` until the next; s on the condition's time
 * line. `solo`: only that channel was lit.
 */
const probeSchema = z.strictObject({
  solo: z.string().nullable(),
  name: z.string(),
  /** As the firmware writes it. */
  unit: z.string(),
  at: figures,
  values: figures,
  /** A change was heard so much later than it was, at most, s; absent where the instants are those of the firmware. */
  late: finite.optional(),
  /** Changes from this instant on were not kept. */
  until: finite.optional(),
  /** Why there is nothing of it. */
  missing: z.string().optional(),
});
/**
 * What the firmware set the modulator of a channel to in one pass: each of `values` from its instant in `at` until the next, s on the
 * condition's time line. `solo`: only that channel was lit.
 */
const driveSchema = z.strictObject({
  solo: z.string().nullable(),
  channel: z.string(),
  /** The value that is fully on. */
  full: finite,
  at: figures,
  values: figures,
  /** Changes from this instant on were not kept. */
  until: finite.optional(),
});
/** What came back to the message of that instant, where somebody listened. */
const answeredSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('dali'), ...event, byte: z.number().int().nullable() }),
  z.strictObject({ kind: z.literal('console'), ...event, lines: z.array(z.string()) }),
]);

/** What is known of the bench and the lamp while a condition is measured. */
const benchFacts = {
  /** What the lamp said of itself: SI, its step, and between which instants it held, s. */
  selfReports: z
    .array(
      z.strictObject({
        property: z.string(),
        value: finite,
        resolution: finite,
        from: finite,
        to: finite,
      }),
    )
    .optional(),
  /** Of the supply; absent on the simulated bench, and where the rig has none that can be set. */
  supply: supplySchema.optional(),
  /** Of its digitisers; absent on the simulated bench. */
  freshness: z.array(freshnessSchema).optional(),
  /** Of the switch in the lamp's supply; absent on the simulated bench, and where the rig has none. */
  switch: switchSchema.optional(),
  /** Of the chamber; absent where the rig has none. */
  ambient: ambientSchema.optional(),
  /** Of a sealed run it lies in `curves.bin`. */
  commanded: commandedSchema.optional(),
  /** One a pass, where a criterion holds the lamp against a model of it; `solo`: only that channel was lit. */
  heard: z
    .array(
      z.strictObject({
        solo: z.string().nullable(),
        /** Of the instants on the records' time, s; 0 where they are known. */
        standardInstant: finite,
        /** Nothing that the lamp was told before is left in it. */
        isFresh: z.boolean(),
        heard: z.array(heardSchema),
        answered: z.array(answeredSchema),
      }),
    )
    .optional(),
  /** Variables of the firmware that the spec asks for, pass by pass. */
  probes: z.array(probeSchema).optional(),
  /** Of a condition that was replayed with everything recorded, pass by pass and channel by channel. */
  drives: z.array(driveSchema).optional(),
  /** One a pass in which the firmware logged anything; absent where none did. */
  firmwareLog: z.array(loggedSchema).optional(),
};

/** One measurement of a condition that was measured several times, without charts. Its captures end in `.2`, `.3`, … from the second on. */
const measurementSchema = z.strictObject({
  startedAt: instant,
  duration: finite,
  attempts: z.number().int(),
  verdict,
  reason: z.string().nullable(),
  /** These and the rest of the facts are absent of the last, whose they are in the condition itself. */
  marks: z.array(z.strictObject({ name: z.string(), at: finite })).optional(),
  commands: z.array(commandSchema).optional(),
  ...benchFacts,
  findings: z.array(findingSchema),
});

export const conditionSchema = z.strictObject({
  key: z.string(),
  values: z.record(z.string(), z.string()),
  repeat: z.number().int(),
  verdict,
  reason: z.string().nullable(),
  startedAt: instant,
  /** The run that the result was measured in, where that is another one: on the simulated lamp, and where it was asked for. */
  takenFrom: z.strictObject({ run: z.string(), startedAt: instant }).optional(),
  /** Lamp time, s (virtual on the plant). */
  duration: finite,
  attempts: z.number().int(),
  marks: z.array(z.strictObject({ name: z.string(), at: finite })),
  commands: z.array(commandSchema),
  captures: z.array(captureSchema),
  /** Readings of the colour sensor. */
  readings: z.array(readingSchema).optional(),
  ...benchFacts,
  /** Of the stimulus and the captures that were asked for, so that nothing else is judged from them later. */
  request: z.strictObject({ stimulus: sha256, captures: sha256 }).optional(),
  /**
   * Where it was measured several times to decide it: each measurement, in order. What is told above, but for `startedAt`, is of the last;
   * captures and readings are of all.
   */
  measurements: z.array(measurementSchema).min(2).optional(),
  findings: z.array(findingSchema),
});

const specSchema = z.strictObject({
  spec: z.string(),
  claim: z.string(),
  file: z.string(),
  folder: z.string(),
  digest: sha256,
  traces: z.array(z.string()),
  tags: z.array(z.string()),
  verdict: claimVerdict,
  /** Why it was not run, where it was not, or why it does not apply to this lamp. */
  reason: z.string().nullable(),
  /** It is known not to hold, and fails no gate until then; absent where it is in no quarantine. */
  quarantine: quarantineSchema.optional(),
  conditions: z.array(conditionSchema),
});

export const runRecordSchema = z.strictObject({
  format: z.literal(recordFormat),
  version: z.literal(readVersions),
  id: z.string(),
  ended: z.enum(['complete', 'interrupted', 'failed', 'unfinished']),
  startedAt: instant,
  endedAt: instant.nullable(),
  harness: z.strictObject({
    version: z.string(),
    node: z.string(),
    commit: z.string().nullable(),
    /** Of the program's own code, on the simulated lamp: results of another program are not reused. */
    code: sha256.optional(),
  }),
  lamp: z.strictObject({
    name: z.string(),
    maker: z.string(),
    build: z.string(),
    serial: z.string(),
    channels: z.array(z.strictObject({ channel: z.string(), xy: z.tuple([finite, finite]) })),
    file: z.string(),
    digest: sha256,
    firmware: z.strictObject({ kind: z.string(), name: z.string(), digest: sha256.nullable() }),
    /** What the lamp said of itself before the first claim, link by link; absent where it was not asked, or cannot say. */
    says: lampSaysSchema.optional(),
  }),
  rig: rigSchema,
  /** Who operated the bench; a sign-off policy can forbid that the same person releases the run. */
  operator: z.string().optional(),
  /** How many conditions the run set out to do: what its progress is told by while it goes on. */
  planned: z.number().int().optional(),
  seed: z.number().int(),
  faults: z.array(z.strictObject({ fault: z.string(), size: finite })),
  decision: z.strictObject({
    rule: z.enum(['simple', 'guarded']),
    coverageFactor: finite,
    /** How often what was inconclusive might be measured again; absent where it was left at that. */
    again: z.number().int().min(1).optional(),
  }),
  selection: z.strictObject({
    tags: z.array(z.string()),
    paths: z.array(z.string()),
    /** Claims that were asked for by name; absent where none was. */
    only: z.array(z.string()).optional(),
    /** Id of the run whose claims that had not passed were run again; absent where all were run. */
    failedIn: z.string().optional(),
    /** Which part of all that was asked for; absent where it is the whole. */
    shard: shardSchema.optional(),
  }),
  /** The runs that this one was merged from, in the order of their numbers; absent where it is none of those. */
  shards: z.array(mergedShardSchema).optional(),
  /** Benches that had measured some of its conditions before it took over, first to last; absent where it ran all itself. */
  earlier: z.array(earlierBenchSchema).optional(),
  verdict,
  totals: z.strictObject({
    claims: z.record(z.string(), z.number().int()),
    findings: z.record(z.string(), z.number().int()),
    lampTime: finite,
    wallTime: finite,
  }),
  safeState: safeStateSchema,
  deviations: z.array(z.strictObject({ kind: z.string(), text: z.string() })),
  /** Ids of runs that this one amends, re-judges or resumes. */
  follows: z.array(
    z.strictObject({ id: z.string(), how: z.enum(['resumes', 'rejudges', 'amends']) }),
  ),
  specs: z.array(specSchema),
});

export type RunRecord = z.infer<typeof runRecordSchema>;
export type SpecRecord = z.infer<typeof specSchema>;
export type ConditionRecord = z.infer<typeof conditionSchema>;
export type Finding = z.infer<typeof findingSchema>;
export type CaptureRecord = z.infer<typeof captureSchema>;
export type Freshness = z.infer<typeof freshnessSchema>;
export type CommandRecord = z.infer<typeof commandSchema>;
export type InstrumentRecord = RunRecord['rig']['instruments'][number];
