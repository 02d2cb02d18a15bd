import type { LampFailure, LampFailureManner } from '../../bench/errors.ts';
import { expectationText, matches, replyText } from '../../plan/expectation.ts';
import type { Finding } from '../../record/run-record.ts';
import type { Answer } from '../condition/stimulus.ts';

/** What these findings are called where a metric's id stands. */
export const lampAnswered = 'reply';
export const firmwareRuns = 'firmware-runs';

/** Findings that need no waveform: what the lamp answered, and whether its firmware ran at all. */
export function answerFindings(answers: readonly Answer[], rule: 'simple' | 'guarded'): Finding[] {
  return answers.map(({ sent, expected, reply }) => {
    const right = matches(expected, reply);
    const wanted = expectationText(expected);
    const found = reply === null ? 'silence' : `“${replyText(reply)}”`;
    return {
      ...direct(lampAnswered, 'Answer of the lamp', `answer to ${sent}: ${wanted}`),
      rule,
      outcome: { measured: true, value: right ? 1 : 0 },
      verdict: right ? 'pass' : 'fail',
      reason: right ? null : `${sent} was to be answered with ${wanted}, found ${found}`,
    };
  });
}

/** What each manner of failing is held against: title, limit, and how its reason begins. */
const manners: Readonly<
  Record<LampFailureManner, readonly [title: string, limit: string, begins: string]>
> = {
  stopped: [
    'Firmware keeps running',
    'runs to the end of the condition',
    'The firmware broke down',
  ],
  refused: [
    'Valid commands are accepted',
    'accepts what its lamp file allows',
    'The lamp refused a valid command',
  ],
  silent: [
    'Firmware keeps answering',
    'answers to the end of the condition',
    'The lamp fell silent for good',
  ],
};

export function lampFailureFinding(failure: LampFailure): Finding {
  const when = failure.at === undefined ? '' : ` at ${failure.at.toFixed(3)} s`;
  const [title, limit, begins] = manners[failure.manner];
  return {
    ...direct(firmwareRuns, title, limit),
    outcome: { measured: true, value: 0 },
    verdict: 'fail',
    reason: `${begins}${when}: ${failure.message}`,
  };
}

function direct(
  metric: string,
  title: string,
  text: string,
): Omit<Finding, 'outcome' | 'verdict' | 'reason'> {
  return {
    metric,
    title,
    of: 'lamp',
    unit: '1',
    shown: '1',
    source: 'the spec itself',
    during: null,
    uncertainty: null,
    limits: { lower: 1, upper: null, target: 1, text },
    rule: 'simple',
    captures: [],
    evidence: { charts: [], notes: {} },
  };
}
