import type { Lamp } from '../../bench/lamp.ts';
import type { Call, LampLink, LampTarget, Reply, Supply } from '../../bench/ports.ts';
import type { CommandedLight } from '../commanded.ts';
import type { Expectation } from '../expectation.ts';
import type { LampQuestion } from '../report-expectation.ts';

/** What a step acts on while its condition runs. Instants are s from the start of the condition. */
export interface Execution {
  readonly lamp: Lamp;
  /** What has been commanded so far; a step adds what it commands. */
  readonly light: CommandedLight;
  /** Of the condition. */
  readonly seed: number;
  /** Commands noted so far in this condition. */
  readonly commandCount: number;
  now(): number;
  waitUntil(instant: number): Promise<void>;
  /** The link of that name; without a name the console, or else the rig's first. Throws BenchError `unsupported`. */
  link(name: string | undefined): { readonly port: LampLink; readonly call: Call };
  /** The rig's supply, which refuses what the rig does not allow. Throws BenchError `unsupported`. */
  supply(): { readonly port: Pick<Supply, 'set' | 'output'>; readonly call: Call };
  /**
   * Takes the air about the lamp to another temperature in `over` s, and says which instrument did it. Throws BenchError `unsupported`
   * without a chamber, `late` where the air is not there by then.
   */
  moveAir(to: { readonly celsius: number; readonly over: number }): Promise<string>;
  /** The target with dark channels where this pass lights one channel only. */
  masked(target: LampTarget): LampTarget;
  /** When the command took effect that the link has just confirmed. */
  effectOf(port: LampLink): Effect;
  /** Writes a command into the record of the run, now or at its effect. */
  note(command: CommandNote): void;
  /** Asks the lamp what it says of itself, keeps it, and holds it against what it had to be; notes the command. */
  ask(question: LampQuestion, port: LampLink, call: Call): Promise<void>;
  /** An answer that a finding is made of. */
  answered(answer: {
    readonly link: string;
    readonly sent: string;
    readonly expected: Expectation;
    readonly reply: Reply;
  }): void;
}

/** An instant, and its standard uncertainty, s. */
export interface Effect {
  readonly at: number;
  readonly standard: number;
}

export interface CommandNote {
  /** The link, `supply`, or the chamber. */
  readonly link: string;
  readonly text: string;
  readonly reply?: Reply;
  readonly effect?: Effect;
}
