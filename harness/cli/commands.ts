import type { Command } from 'commander';
import type { Io } from './io.ts';

/** A command's file exports one of these as `register`: it adds options and an action to `command`. */
export type Register = (command: Command, io: Io) => void;

interface Entry {
  readonly name: string;
  readonly about: string;
  /** Loaded only when the command is called: start-up time is part of a commit gate. */
  readonly load: () => Promise<{ readonly register: Register }>;
}

export const commands: readonly Entry[] = [
  {
    name: 'check',
    about: 'read spec, lamp and rig files and report every issue',
    load: () => import('./check.ts'),
  },
  {
    name: 'run',
    about: 'run specs on a rig or on the simulated lamp',
    load: () => import('./run.ts'),
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
  { name: 'report', about: 'render a stored run again', load: () => import('./report.ts') },
];
