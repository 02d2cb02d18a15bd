import type { Answered, Heard } from '../../bench/heard.ts';
import { plainLine } from '../../files/plain-text.ts';
import type { ModelledAnswer } from '../../measure/modelled-lamp.ts';
import { allowedWords, allows } from '../../model/allowed-answer.ts';
import type { ExpectedAnswer } from '../../model/model-lamp.ts';
import { heardWords } from './heard-words.ts';

/** Every message that the model has a word on the answer of, with what came back to it. */
export function heldAnswers(
  expected: readonly ExpectedAnswer[],
  heard: readonly Heard[],
  answered: readonly Answered[],
): readonly ModelledAnswer[] {
  const found = new Map(answered.map((answer) => [`${answer.kind} ${answer.at}`, answer]));
  return expected.flatMap(({ of, link, oneOf }): ModelledAnswer[] => {
    const event = heard[of];
    if (!event) return [];
    const answer = found.get(`${link} ${event.at}`);
    const isOpen = !answer || oneOf.includes('any');
    return [
      {
        at: event.at,
        asked: heardWords(event),
        found: answer ? foundWords(answer) : 'nobody listened',
        allowed: oneOf.map(allowedWords).join(' or '),
        isRight: isOpen ? null : oneOf.some((one) => allows(one, answer)),
      },
    ];
  });
}

function foundWords(answer: Answered): string {
  if (answer.kind === 'dali') return answer.byte === null ? 'nothing' : String(answer.byte);
  const lines = answer.lines.map((line) => `“${plainLine(line)}”`);
  return lines.length === 0 ? 'nothing' : lines.join(', ');
}
