import { didYouMean } from '../../files/did-you-mean.ts';
import type { Plan } from '../../plan/plan.ts';
import { commandOption, type StatedCommand } from './measure-commanded.ts';
import type { Scene } from './measure-metric.ts';
import {
  type MeasureFlags,
  pairsOption,
  quantityOption,
  usage,
  windowOption,
} from './measure-options.ts';

/** What the person says of the stimulus while the file was recorded. Instants on the file's own time axis, s. */
export type StatedStimulus =
  /** It was the spec's, and began then. */
  | { readonly kind: 'spec'; readonly begin: number }
  /** Only so much is known: where windows open, and what was commanded. */
  | {
      readonly kind: 'parts';
      readonly marks: readonly StatedMark[];
      readonly command: StatedCommand;
    };

interface StatedMark {
  readonly name: string;
  readonly at: number;
}

/** `--begin`, or `--mark` and the options of a fade. */
export function statedStimulus(
  flags: MeasureFlags,
  plans: readonly Plan[],
  { start, length }: Pick<Scene, 'start' | 'length'>,
): StatedStimulus {
  const { begin, mark = [], from } = flags;
  if (begin === undefined)
    return { kind: 'parts', marks: marksOption(mark, plans), command: commandOption(flags) };
  if (mark.length > 0 || from !== undefined)
    throw usage(
      `${from === undefined ? '--mark' : '--from'}: not with --begin, by which the spec's stimulus says it; leave one of the two out`,
    );
  const at = quantityOption('begin', begin, 'time');
  if (at >= start + length)
    throw usage(
      `--begin: expected an instant before the end of the record, which runs from ${start} s to ${start + length} s, found "${begin}"`,
    );
  return { kind: 'spec', begin: at };
}

/** `--mark steady=0.3s`, or `--mark steady=0.3s..0.9s` where the window ends before the next mark and the file. */
function marksOption(texts: readonly string[], plans: readonly Plan[]): readonly StatedMark[] {
  const known = [...new Set(plans.flatMap(windowNames))];
  const marks = [...pairsOption('mark', texts)].flatMap(([name, text]) => {
    if (!known.includes(name))
      throw usage(
        `--mark: "${name}" is no window of these claims${didYouMean(name, known)} (their windows are ${known.join(', ') || 'none: they look at the whole record'})`,
      );
    if (!text.includes('..')) return [{ name, at: quantityOption(`mark ${name}`, text, 'time') }];
    const { from, to } = windowOption(`mark ${name}`, text);
    return [
      { name, at: from },
      { name: windowEnd, at: to },
    ];
  });
  return marks.sort((a, b) => a.at - b.at);
}

/** Ends a window and opens none: no name of a spec is empty. */
const windowEnd = '';

/** The marks that a claim's criteria look at. */
function windowNames({ conditions }: Plan): readonly string[] {
  return conditions.flatMap(({ criteria }) =>
    criteria.flatMap(({ during, reference }) => [during ?? [], reference ?? []].flat()),
  );
}
