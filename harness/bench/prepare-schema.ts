import * as z from 'zod';
import { quantity, words } from '../files/schema-parts.ts';

/** Something that a program does to the lamp before a run, such as putting the build into it. */
export interface PrepareStep {
  /** Of messages and the record; unique in its rig file. */
  readonly step: string;
  /** Program and arguments; no shell reads them. */
  readonly command: readonly string[];
  /** Wall-clock time that it may take, s. */
  readonly within: number;
  /** What its output has to contain; absent where its exit code says enough. */
  readonly expect?: string;
}

/** `prepare:` of a rig file: steps in their order; the first that fails ends the run before its first claim. */
export const prepareSchema = z
  .array(
    z
      .strictObject({
        step: words('What it does; the record has it.'),
        command: z
          .array(words('The program, or an argument of it.'))
          .min(1)
          .max(64)
          .meta({
            description: 'The program, then its arguments; no shell reads them.',
            examples: [['python3', 'flash.py']],
          }),
        within: quantity('Wall-clock time that it may take.', 'time', '2 min', {
          above: 0,
          most: 3600,
        }).prefault('1 min'),
        expect: words('What its output has to contain, besides exit code 0.').exactOptional(),
      })
      .readonly(),
  )
  .max(20)
  .refine((steps) => new Set(steps.map(({ step }) => step)).size === steps.length, {
    error: 'two steps have the same name; give each its own',
  })
  .readonly();
