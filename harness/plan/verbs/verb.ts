import type * as z from 'zod';
import type { Lamp } from '../../bench/lamp.ts';
import type { CommandedLight } from '../commanded.ts';
import type { ListeningLamp, Miss } from '../reach/listening-lamp.ts';
import type { ValueReader } from '../value-reader.ts';
import type { Execution } from './execution.ts';

/** A step as planned: its verb and, in SI, what goes with it. */
export interface AnyStep {
  readonly verb: string;
}

/** A step as written: one key, its verb. */
export type WrittenStep = Readonly<Record<string, unknown>>;

/**
 * One verb of the stimulus: how it is written, what it means, how long it takes, and what carries it out. `verbs.ts`
 * lists them; the schema, the reader, the schedule, `explain`, preflight and the engine go through that list.
 */
export interface Verb<Written = unknown, Step extends AnyStep = AnyStep> {
  readonly verb: Step['verb'];
  /** One sentence for completion in an editor and for specs/README.md. */
  readonly about: string;
  /** What stands behind the verb in a file. `step` is the schema of any step, for a verb that holds some. */
  schema(step: z.ZodType<WrittenStep>): z.ZodType<Written>;
  /** The step for one point of the matrix; null where it has issues (reported). */
  read(written: Written, reader: ValueReader, readSteps: ReadSteps): Step | null;
  /** In plain words, for `explain`. */
  words(step: Step, wordsOf: (step: AnyStep) => string): string;
  /** Lamp time until the next step, s; 0 for an instant. */
  lasts(step: Step, lamp: Lamp): number;
  /** What the rig must have for it. */
  needs(step: Step): RigNeed;
  /** Does it. Absent where only time passes, or where the steps that it holds do it all. */
  perform?(step: Step, run: Execution): Promise<void>;
  /** What it makes of the commanded light at the instant `at`, s. Absent where it changes none, or none that is known. */
  command?(step: Step, light: CommandedLight, at: number): void;
  /**
   * What comes of it at the lamp: null where it reaches it, else why not. Absent where it does nothing to a lamp, as where only
   * time passes.
   */
  misses?(step: Step, listening: ListeningLamp): Miss | null;
  /** The mark that it sets: it ends the window before and opens its own. */
  mark?(step: Step): string;
  /** The steps that it holds, and how often they are done. */
  holds?(step: Step): { readonly steps: readonly AnyStep[]; readonly times: number };
  /** Commands that it gives, where it is more than one. */
  commands?(step: Step): number;
  /** True where it makes a finding by itself, so that a claim needs no other criterion. */
  judges?(step: Step): boolean;
}

type ReadSteps = (written: readonly WrittenStep[], reader: ValueReader) => readonly AnyStep[];

/** The lamp time of a verb that is done in an instant. */
export const instant = (): number => 0;

/** What a step needs of a rig; nothing where all is absent. */
export interface RigNeed {
  /** A link by name; steps that name none are content with any. */
  readonly link?: string | undefined;
  /** A supply that can be set, up to these volts. */
  readonly supply?: { readonly volts: number | undefined };
}

/** The needs of a verb that any rig can carry out. */
export const nothing = (): RigNeed => ({});

/** Of a step that always comes to the lamp. */
export const reaches = (): null => null;
