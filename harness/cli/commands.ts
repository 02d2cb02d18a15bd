import type { Register } from './common/io.ts';

interface Entry {
  readonly name: string;
  readonly about: string;
  /** Loaded only when the command is called: start-up time is part of a commit gate. */
  readonly load: () => Promise<{ readonly register: Register }>;
  /** Over in less than a second: code that runs so briefly does not earn back what optimising it takes. */
  readonly shortLived?: boolean;
}

export const commands: readonly Entry[] = [
  {
    name: 'check',
    about: 'read spec, lamp and rig files and report every issue',
    load: () => import('./authoring/check.ts'),
    shortLived: true,
  },
  {
    name: 'run',
    about: 'run specs on a rig or on the simulated lamp',
    load: () => import('./running/run.ts'),
  },
  {
    name: 'merge',
    about: 'make one run of the runs of all shards',
    load: () => import('./running/merge.ts'),
  },
  {
    name: 'explain',
    about: 'say in plain words what a spec commands, records and judges',
    load: () => import('./authoring/explain.ts'),
    shortLived: true,
  },
  {
    name: 'new',
    about: 'write a commented starter file, or lay out a whole project',
    load: () => import('./authoring/new.ts'),
    shortLived: true,
  },
  {
    name: 'library',
    about: "compare a project's copies of specs with the library, and update them",
    load: () => import('./library/library.ts'),
    shortLived: true,
  },
  {
    name: 'trace',
    about: 'list requirements, the claims that cover them, and their last verdicts',
    load: () => import('./authoring/trace.ts'),
    shortLived: true,
  },
  {
    name: 'measure',
    about: 'compute metrics of a recorded waveform, or judge it by a spec',
    load: () => import('./measuring/measure.ts'),
  },
  {
    name: 'challenge',
    about: 'seed faults into the simulated lamp and see which claims catch them',
    load: () => import('./running/challenge.ts'),
  },
  {
    name: 'replay',
    about: 'run one condition of a stored run once more, with everything recorded',
    load: () => import('./running/replay.ts'),
  },
  {
    name: 'explore',
    about: 'look for commands after which a lamp does not do what its model says',
    load: () => import('./running/explore.ts'),
  },
  {
    name: 'rig',
    about: 'list, test, calibrate or switch off the instruments of a rig, or serve it to a lab',
    load: () => import('./bench/rig.ts'),
  },
  {
    name: 'lab',
    about: 'serve a lab of many rigs, and say who may use it',
    load: () => import('./lab/lab.ts'),
  },
  {
    name: 'submit',
    about: 'have specs judged on the rigs of a lab',
    load: () => import('./lab/submit.ts'),
  },
  {
    name: 'emulate',
    about: 'serve the simulated lamp and instruments on real ports',
    load: () => import('./bench/emulate.ts'),
  },
  {
    name: 'report',
    about: 'print a stored run in any report format',
    load: () => import('./archive/report.ts'),
  },
  {
    name: 'runs',
    about: 'list stored runs, or prune them',
    load: () => import('./archive/runs.ts'),
  },
  {
    name: 'compare',
    about: 'show what changed between two stored runs',
    load: () => import('./archive/compare.ts'),
  },
  {
    name: 'trend',
    about: 'show how a metric develops over stored runs',
    load: () => import('./archive/trend.ts'),
  },
  {
    name: 'view',
    about: 'serve the stored runs to a browser: read, compare, sign',
    load: () => import('./view/view.ts'),
  },
  {
    name: 'keys',
    about: 'make a key pair to sign with, or change its passphrase',
    load: () => import('./release/keys.ts'),
    shortLived: true,
  },
  {
    name: 'sign',
    about: 'sign a decision on a stored run',
    load: () => import('./release/sign.ts'),
  },
  {
    name: 'verify',
    about: 'check a stored run against its seal and signatures',
    load: () => import('./release/verify.ts'),
  },
  {
    name: 'export',
    about: 'write findings, captures or a condition as CSV, WAV, Parquet, NumPy or VCD',
    load: () => import('./archive/export.ts'),
  },
];
