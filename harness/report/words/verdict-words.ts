import type { Verdict } from '../../verdict/verdict.ts';

/** A verdict is told by shape and by word; colour only repeats it. */
export const verdictMark: Readonly<Record<Verdict, string>> = {
  pass: '●',
  fail: '▲',
  inconclusive: '◐',
  error: '✕',
  'not run': '○',
  'not applicable': '–',
};

/** What each verdict says, once, for legends. */
export const verdictMeaning: Readonly<Record<Verdict, string>> = {
  pass: 'the value is within tolerance',
  fail: 'the value is out of tolerance',
  inconclusive: 'the uncertainty straddles the limit, so nothing is decided',
  error: 'the bench failed; this says nothing about the lamp',
  'not run': 'not measured, for the reason given',
  'not applicable': 'this lamp cannot have the claim, for the reason given',
};

/** The order in which people read counts: what was reached first, then what is missing. */
export const verdicts: readonly Verdict[] = [
  ...(['pass', 'fail', 'inconclusive', 'error', 'not run'] as const),
  'not applicable',
];
