import type {
  AnswerChange,
  ConditionChange,
  LightComparison,
  SignalChange,
} from '../../record/compare-light.ts';
import { claimCondition } from '../../record/condition-words.ts';
import { formatNumber, formatQuantity } from '../../units/format-quantity.ts';
import { counted } from '../words/prose.ts';
import { wrap } from './wrap.ts';

/** More of one kind in a condition would hide the next condition. */
const shownChanges = 4;
const shownConditions = 20;

/** What the lamp did in another way in run B than in run A under the same commands, whatever the claims say of it; for a terminal. */
export function renderLightText(
  { compared, left, changes }: LightComparison,
  { columns, all }: { readonly columns: number; readonly all: boolean },
): string {
  const width = Math.max(40, Math.min(columns, 110));
  if (compared === 0) return `${wrap(nothing, width, '').join('\n')}\n`;
  const apart = left === 0 ? '' : ` ${counted(left, 'condition')} could not be compared.`;
  const head =
    changes.length === 0
      ? `Light and answers: in ${counted(compared, 'condition')} B did as A, within noise.${apart}`
      : `Light and answers: B did otherwise than A in ${changes.length} of ${counted(compared, 'condition')}.${apart}`;
  const shown = all ? changes : changes.slice(0, shownConditions);
  const more = changes.length - shown.length;
  const lines = [
    ...wrap(head, width, ''),
    ...shown.flatMap((change) => conditionLines(change, width, all)),
    ...(more > 0 ? [`and ${counted(more, 'more condition')} (--all)`] : []),
  ];
  return `${lines.join('\n')}\n`;
}

const nothing =
  'Light and answers: the runs have no condition with the same commands and captures in both. Runs that kept all captures (--captures all) of the same specs, lamp and seed can be compared; a condition in which a build broke down has no captures.';

function conditionLines(
  { spec, condition, signals, answers }: ConditionChange,
  width: number,
  all: boolean,
): string[] {
  const texts = [...signals.map(signalText), ...answers.map(answerText)];
  const shown = all ? texts : texts.slice(0, shownChanges);
  const more = texts.length - shown.length;
  return [
    claimCondition(spec, condition),
    ...shown.flatMap((text) => wrap(text, width, '  ', '    ')),
    ...(more > 0 ? [`  and ${more} more (--all)`] : []),
  ];
}

function signalText(change: SignalChange): string {
  const { signal, of, at, a, b, highest, lasting, unit, after } = change;
  const share = formatQuantity(Math.abs(b - a) / highest, 'ratio', '%', 3);
  const value = (figure: number) => `${formatNumber(figure)} ${unit}`;
  const command = after === null ? 'before the first command' : `after ${after}`;
  return `${signal} of ${of}: ${value(b)} where A had ${value(a)}, at ${formatQuantity(at, 'time')} (${command}); ${share} of its highest, apart for ${formatQuantity(lasting, 'time', undefined, 2)} in all`;
}

function answerText({ at, command, a, b }: AnswerChange): string {
  const words = (answer: string | null) => (answer === null ? 'nothing' : `“${answer}”`);
  return `answer to ${command} at ${formatQuantity(at, 'time')}: ${words(b)} where A had ${words(a)}`;
}
