import type { Metric } from '../../metric.ts';
import { modelledAnswersNeed } from '../../needs.ts';
import { measured, noEvidence, notMeasurable } from '../../outcome.ts';

/**
 * Number of answers, and of silences, that a model of the lamp does not allow with all that was sent to it in the window.
 * Inputs: what was sent, what came back, and what the model allows. Output: number, 0 for a lamp that answers as it should.
 * Fooled by: answers that nobody listened to, and questions to which the model allows anything; the notes give their number.
 * A window without a message to answer has no wrong answer; `held` in the notes is then 0.
 * Not measurable: nobody knows what was sent; there were messages, and of none can be told whether the answer is right.
 * Source: IEC 62386-102 for the answers of control gear (from memory), the lamp file for those of a console.
 */
export const wrongAnswers: Metric = {
  id: 'wrong-answers',
  title: 'Answers that the lamp model does not allow',
  family: 'control',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: modelledAnswersNeed,
  parameters: [],
  source: 'model-lamp',
  compute({ modelled, window }, { evidence = true } = {}) {
    if (!modelled)
      return notMeasurable('no-record', { note: 'nothing tells what was sent to the lamp' });
    const asked = modelled.answers.filter(({ at }) => at >= window.from && at <= window.to);
    const held = asked.filter(({ isRight }) => isRight !== null);
    const wrong = held.filter(({ isRight }) => isRight === false);
    if (held.length === 0 && asked.length > 0)
      return notMeasurable('out-of-domain', {
        note: `${asked.length} messages were sent in the window, and nobody listened to the answers, or the model allows any`,
      });
    const [first] = wrong;
    const notes = {
      held: held.length,
      'not-held': asked.length - held.length,
      ...(first && {
        at: first.at,
        asked: first.asked,
        found: first.found,
        allowed: first.allowed,
      }),
    };
    return measured(wrong.length, evidence ? { charts: [], notes } : noEvidence);
  },
};
