import type { Register } from './register.ts';

interface Entry {
  readonly name: string;
  readonly about: string;
  /** Loaded only when the command is called: start-up time is part of a commit gate. */
  readonly load: () => Promise<{ readonly register: Register }>;
  /** Over in less than a second: code that runs so briefly does not earn back what optimising it takes. */
  readonly brief?: boolean;
}

export const commands: readonly Entry[] = [
  {
    name: 'check',
    about: 'read spec, lamp and rig files and report every issue',
    load: () => import('./check.ts'),
    brief: true,
  },
  {
    name: 'run',
    about: 'run specs on a rig or on the simulated lamp',
    load: () => import('./run.ts'),
  },
  {
    name: 'explain',
    about: 'say in plain words what a spec commands, records and judges',
    load: () => import('./explain.ts'),
    brief: true,
  },
  {
    name: 'new',
    about: 'write a commented spec, lamp or rig file to begin with',
    load: () => import('./new.ts'),
    brief: true,
  },
  {
    name: 'trace',
    about: 'list requirements, the claims that cover them, and their last verdicts',
    load: () => import('./trace.ts'),
    brief: true,
  },
  {
    name: 'measure',
    about: 'compute metrics of a recorded waveform',
    load: () => import('./measure.ts'),
  },
  {
    name: 'challenge',
    about: 'seed faults into the simulated lamp and see which claims catch them',
    load: () => import('./challenge.ts'),
  },
  {
    name: 'rig',
    about: 'list, test, calibrate or switch off the instruments of a rig',
    load: () => import('./rig.ts'),
  },
  {
    name: 'emulate',
    about: 'put the simulated lamp and instruments behind real ports',
    load: () => import('./emulate.ts'),
  },
  { name: 'report', about: 'render a stored run again', load: () => import('./report.ts') },
  { name: 'runs', about: 'list stored runs, or prune them', load: () => import('./runs.ts') },
  {
    name: 'compare',
    about: 'tell what changed from one stored run to another',
    load: () => import('./compare.ts'),
  },
  {
    name: 'trend',
    about: 'follow a metric over the stored runs',
    load: () => import('./trend.ts'),
  },
  {
    name: 'view',
    about: 'open the stored runs in a browser: read, compare, follow, sign',
    load: () => import('./view.ts'),
  },
  {
    name: 'keys',
    about: 'make a key pair to sign with',
    load: () => import('./keys.ts'),
    brief: true,
  },
  { name: 'sign', about: 'sign a decision on a stored run', load: () => import('./sign.ts') },
  {
    name: 'verify',
    about: 'check a stored run against its seal and signatures',
    load: () => import('./verify.ts'),
  },
  {
    name: 'export',
    about: 'write findings or captures as CSV, WAV or Parquet',
    load: () => import('./export.ts'),
  },
];
