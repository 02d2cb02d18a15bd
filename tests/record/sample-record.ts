import type {
  CaptureRecord,
  ConditionRecord,
  Finding,
  RunRecord,
} from '../../harness/record/run-record.ts';
import { totalsOf } from '../../harness/record/totals.ts';
import { rollUp, verdictOfRun } from '../../harness/verdict/verdict.ts';

/** Invented records for tests; digests are of nothing. */
const digest = 'ab'.repeat(32);

export function sampleFinding(
  over: Partial<Finding> & { value?: number; expanded?: number } = {},
): Finding {
  const { value = 2.01, expanded = 0.02, ...rest } = over;
  return {
    metric: 'fade-duration',
    title: 'Fade duration',
    of: 'warm',
    unit: 's',
    shown: 's',
    source: 'fit',
    during: null,
    outcome: { measured: true, value },
    uncertainty: {
      expanded,
      coverageFactor: 2,
      contributions: [{ name: 'fit', standard: expanded / 2 }],
    },
    limits: { lower: 1.9, upper: 2.1, target: 2, text: '2 s ± 5 %' },
    rule: 'guarded',
    verdict: 'pass',
    reason: null,
    captures: [],
    evidence: { charts: [], notes: {} },
    ...rest,
  };
}

export function sampleCapture(over: Partial<CaptureRecord> = {}): CaptureRecord {
  return {
    id: 'light',
    file: '0000-light.npy',
    signal: 'light',
    of: 'light',
    instrument: 'digitiser',
    input: 'ch1',
    rate: 20_000,
    start: 0,
    samples: 4,
    unit: 'lx',
    scale: 0.25,
    offset: -1,
    clipped: 0,
    taken: 'at-once',
    ...over,
  };
}

export function sampleCondition(over: Partial<ConditionRecord> = {}): ConditionRecord {
  const findings = over.findings ?? [sampleFinding()];
  return {
    key: 'fade-time=2 s',
    values: { 'fade-time': '2 s' },
    repeat: 0,
    verdict: rollUp(findings.map(({ verdict }) => verdict)),
    reason: null,
    startedAt: '2026-03-04T05:06:08Z',
    duration: 3,
    attempts: 1,
    marks: [],
    commands: [{ at: 0.5, link: 'console', verb: 'fade', text: 'fade 2000 dim 100', reply: 'ok' }],
    captures: [],
    findings,
    ...over,
  };
}

export function sampleSpec(
  spec: string,
  conditions: ConditionRecord[],
  over: Partial<RunRecord['specs'][number]> = {},
): RunRecord['specs'][number] {
  return {
    spec,
    claim: `The claim of ${spec}.`,
    file: `specs/fading/${spec}.spec.yaml`,
    folder: 'fading',
    digest,
    traces: ['LUM-041'],
    tags: ['commit'],
    verdict: rollUp(conditions.map(({ verdict }) => verdict)),
    reason: null,
    conditions,
    ...over,
  };
}

export function sampleRecord(over: Partial<RunRecord> = {}): RunRecord {
  const specs = over.specs ?? [sampleSpec('fade-on-time', [sampleCondition()])];
  return {
    format: 'evenfall-run',
    version: 2,
    id: '3fa9c01b77de4a5c0b1d',
    ended: 'complete',
    startedAt: '2026-03-04T05:06:07.250Z',
    endedAt: tenSecondsAfter(over.startedAt ?? '2026-03-04T05:06:07.250Z'),
    harness: { version: '0.1.0', node: '20.20.2', commit: null },
    lamp: {
      name: 'Alcove-6',
      maker: 'Halden Display Lighting',
      build: '1.4.2',
      serial: 'A6-0001',
      channels: [{ channel: 'warm', xy: [0.45, 0.41] }],
      file: 'specs/lamps/alcove-6.lamp.yaml',
      digest,
      firmware: { kind: 'reference', name: 'reference firmware', digest },
    },
    rig: {
      name: 'simulated',
      place: 'the simulated bench',
      file: 'specs/rigs/simulated.rig.yaml',
      digest,
      simulated: true,
      ambient: 23,
      instruments: [],
      notes: {},
    },
    seed: 1,
    faults: [],
    decision: { rule: 'guarded', coverageFactor: 2 },
    selection: { tags: [], paths: ['specs'] },
    verdict: verdictOfRun(specs),
    totals: totalsOf(specs, 10),
    safeState: { confirmed: true, at: '2026-03-04T05:06:17Z', detail: 'lamp off, supply off' },
    deviations: [],
    follows: [],
    specs,
    ...over,
  };
}

/** The record as it is when a run starts: specs without conditions. */
export function headerOf(record: RunRecord): RunRecord {
  const specs = record.specs.map((spec) => ({
    ...spec,
    conditions: [],
    verdict: 'not run' as const,
  }));
  return {
    ...record,
    ended: 'unfinished',
    endedAt: null,
    verdict: 'not run',
    totals: totalsOf(specs, 0),
    safeState: { confirmed: false, at: null, detail: 'not known' },
    specs,
  };
}

/** The instant itself where it is none that a clock can tell. */
function tenSecondsAfter(instant: string): string {
  const time = Date.parse(instant);
  return Number.isNaN(time) ? instant : new Date(time + 10_000).toISOString();
}
