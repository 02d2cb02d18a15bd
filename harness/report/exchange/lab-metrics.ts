import { type Ending, endings } from '../../verdict/verdict.ts';
import { type Family, renderFamilies, type Sample } from './metric-families.ts';

/** What a lab does, in figures. */
export interface LabFigures {
  readonly shards: { readonly queued: number; readonly running: number };
  /** How long the oldest shard in the queue has waited since it was submitted, s; 0 where none waits. */
  readonly oldestWaiting: number;
  readonly rigs: readonly {
    readonly name: string;
    readonly simulated: boolean;
    readonly heard: boolean;
  }[];
  readonly conditions: number;
  readonly submissions: readonly { readonly state: string; readonly count: number }[];
  /** The last verdict on each build of a lamp. */
  readonly verdicts: readonly {
    readonly lamp: string;
    readonly build: string;
    readonly simulated: boolean;
    readonly verdict: Ending;
    /** ISO 8601 UTC */
    readonly endedAt: string;
  }[];
  /** Of the store of files. */
  readonly bytes: number;
  /** What went of the store since there is this lab; null where nothing is ever cleared. */
  readonly cleared: ClearedFigures | null;
}

interface ClearedFigures {
  readonly files: number;
  readonly bytes: number;
  /** ISO 8601 UTC; null: never. */
  readonly at: string | null;
  /** Submissions that ended long ago, whose files stay since their run is not in the archive as it was sealed. */
  readonly unproven: number;
}

/** A lab for monitoring: OpenMetrics 1.0 text (from memory). */
export function renderLabMetrics(figures: LabFigures): string {
  const { shards, oldestWaiting, rigs, conditions, submissions, bytes } = figures;
  return renderFamilies([
    gauge('evenfall_lab_shards', 'Shards that wait or run.', [
      [{ state: 'queued' }, shards.queued],
      [{ state: 'running' }, shards.running],
    ]),
    {
      ...gauge(
        'evenfall_lab_oldest_waiting_seconds',
        'Time since the oldest shard in the queue was submitted; 0 where none waits.',
        [[{}, oldestWaiting]],
      ),
      unit: 'seconds',
    },
    gauge(
      'evenfall_lab_rig_heard',
      '1 where the rig was heard lately.',
      rigs.map(({ name, simulated, heard }) => [
        { rig: name, simulated: `${simulated}` },
        Number(heard),
      ]),
    ),
    gauge('evenfall_lab_conditions_stored', 'Conditions that rigs have stored at the lab.', [
      [{}, conditions],
    ]),
    gauge(
      'evenfall_lab_submissions',
      'Submissions by their state.',
      submissions.map(({ state, count }) => [{ state }, count]),
    ),
    ...verdictFamilies(figures),
    {
      ...gauge('evenfall_lab_files_bytes', 'Size of the files that are stored by digest.', [
        [{}, bytes],
      ]),
      unit: 'bytes',
    },
    ...(figures.cleared ? clearedFamilies(figures.cleared) : []),
  ]);
}

function clearedFamilies({ files, bytes, at, unproven }: ClearedFigures): readonly Family[] {
  const total = (name: string, help: string, value: number): Family => ({
    ...{ name, type: 'counter', help, samples: [[{}, value]] },
  });
  return [
    total('evenfall_lab_cleared_files', 'Files that were cleared.', files),
    { ...total('evenfall_lab_cleared_bytes', 'Their size.', bytes), unit: 'bytes' },
    {
      ...gauge(
        'evenfall_lab_cleared_timestamp_seconds',
        'When files were last looked through.',
        at === null ? [] : [[{}, Date.parse(at) / 1000]],
      ),
      unit: 'seconds',
    },
    gauge(
      'evenfall_lab_submissions_unproven',
      'Submissions that ended more than two days ago, whose files stay since their run is not in the archive as it was sealed.',
      [[{}, unproven]],
    ),
  ];
}

function verdictFamilies({ verdicts }: LabFigures): readonly Family[] {
  const of = (one: LabFigures['verdicts'][number]) => ({
    ...{ lamp: one.lamp, build: one.build, simulated: `${one.simulated}` },
  });
  return [
    {
      ...{ name: 'evenfall_lab_verdict', type: 'stateset' },
      help: 'Last verdict on a build of a lamp, of the submissions that ended lately.',
      samples: verdicts.flatMap((one) =>
        endings.map(
          (ending): Sample => [
            { ...of(one), evenfall_lab_verdict: ending },
            Number(ending === one.verdict),
          ],
        ),
      ),
    },
    {
      ...gauge(
        'evenfall_lab_verdict_timestamp_seconds',
        'When the submission of that verdict ended.',
        verdicts.map((one) => [of(one), Date.parse(one.endedAt) / 1000]),
      ),
      unit: 'seconds',
    },
  ];
}

function gauge(name: string, help: string, samples: readonly Sample[]): Family {
  return { name, type: 'gauge', help, samples };
}
