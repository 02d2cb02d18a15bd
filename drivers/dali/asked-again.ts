/** What came back on a query: a byte, silence, or a frame that is none (IEC 62386-101: a framing error). */
export type BackwardAnswer = number | 'collision' | null;

/** A disturbance spoils one frame; what is asked so often and never comes whole is no disturbance. */
const tries = 3;
/** Silence is an answer too: twice is enough. */
const silences = 2;

export interface AskedAgain {
  readonly answer: BackwardAnswer;
  /** Every answer, in a clause; null where the first one was whole or all were the same. */
  readonly doubt: string | null;
}

/**
 * Asks until an answer comes whole, or until silence or spoilt frames are no chance. For queries that change nothing. What stands still
 * by itself has to be answered alike `alike` times.
 */
export async function askAgain(ask: () => Promise<BackwardAnswer>, alike = 1): Promise<AskedAgain> {
  const answers: BackwardAnswer[] = [];
  for (;;) {
    const answer = await ask();
    answers.push(answer);
    const same = answers.every((one) => one === answer);
    const ends =
      (typeof answer === 'number' && (alike === 1 || (same && answers.length === alike))) ||
      (answer === null && same && answers.length === silences);
    if (!ends && answers.length < tries) continue;
    return { answer, doubt: same ? null : answers.map(answerWords).join(', then ') };
  }
}

function answerWords(answer: BackwardAnswer): string {
  if (answer === null) return 'no answer';
  if (answer === 'collision') return 'a garbled answer';
  return `0x${answer.toString(16).padStart(2, '0')}`;
}
