import type {
  LabState,
  RigState,
  ShardState,
  SubmissionState,
} from '../../harness/report/pages/lab/lab-state.ts';

export function sampleShard(number: number, over: Partial<ShardState> = {}): ShardState {
  const queued = { state: 'queued', rig: null, attempts: 0, done: 0 } as const;
  return { number, ...queued, planned: 40, rigTime: 600, ...over };
}

export function sampleSubmission(id: string, over: Partial<SubmissionState> = {}): SubmissionState {
  return {
    id,
    submittedAt: '2026-11-30T18:40:00Z',
    by: 'Mira',
    ...{ lamp: 'Alcove-6', build: '1.8.0', tags: ['commit'] },
    ...{ state: 'queued', why: null, verdict: null, run: null },
    shards: [sampleShard(1), sampleShard(2)],
    ...over,
  };
}

export function sampleRig(name: string, over: Partial<RigState> = {}): RigState {
  return {
    name,
    lamps: ['Alcove-6', 'Alcove-6 Mains'],
    simulated: false,
    place: 'light laboratory, bench 3',
    lastSeen: '2026-11-30T18:59:50Z',
    isHeard: true,
    now: null,
    calibration: [{ instrument: 'digitiser', due: '2027-03-01', state: 'valid' }],
    declines: [],
    ...over,
  };
}

/** A lab with something of every kind. */
export function sampleLab(over: Partial<LabState> = {}): LabState {
  const ended = {
    shards: [sampleShard(1, { state: 'ended', rig: 'rig 1', attempts: 1, done: 40 })],
  };
  const half = [
    sampleShard(1, { state: 'ended', rig: 'rig 1', attempts: 1, done: 40 }),
    sampleShard(2, { state: 'running', rig: 'rig 1', attempts: 2, done: 10 }),
    sampleShard(3, { state: 'failed', rig: 'rig 2', attempts: 3, done: 4 }),
  ];
  return {
    at: '2026-11-30T19:00:00Z',
    submissions: [
      sampleSubmission('s-6', { build: '1.8.1' }),
      sampleSubmission('s-5', { build: '1.8.0-rc.1', tags: [] }),
      sampleSubmission('s-4', { state: 'running', shards: half }),
      sampleSubmission('s-3', {
        ...ended,
        state: 'ended',
        build: '1.7.9',
        verdict: 'fail',
        run: 'run-3',
      }),
      sampleSubmission('s-2', {
        state: 'failed',
        build: '1.7.8',
        why: 'Shard 1 failed three times.',
      }),
      sampleSubmission('s-1', { state: 'cancelled', build: '1.7.7', why: 'Cancelled by Mira.' }),
    ],
    rigs: [
      sampleRig('rig 1', {
        now: { submission: 's-4', shard: 2, condition: 'fades-on-time, fade-time=2 s' },
        calibration: [
          { instrument: 'digitiser', due: '2027-03-01', state: 'valid' },
          { instrument: 'colour sensor', due: '2026-12-15', state: 'due soon' },
          { instrument: 'supply', due: '2026-11-01', state: 'overdue' },
        ],
      }),
      sampleRig('rig 2', {
        isHeard: false,
        lastSeen: '2026-11-30T17:00:00Z',
        declines: ['Its lamp is an Alcove-4.', 'It has no colour sensor.'],
      }),
      sampleRig('sim', { simulated: true, place: 'build server', calibration: [] }),
    ],
    schedules: [
      {
        ...{ name: 'nightly', cron: '30 2 * * *', zone: 'Europe/Vienna', by: 'Mira' },
        ...{ next: '2026-12-01T01:30:00Z', last: null, why: null },
      },
    ],
    ...over,
  };
}
