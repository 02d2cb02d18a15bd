import { plainLine } from '../../files/plain-text.ts';
import type { News } from './news.ts';

/** Version of the body; raised when a reader could misread it. */
const bodyVersion = 1;

/** What a program or a web server is handed. Control characters and marks of strangers are gone: many a receiver prints what it reads. */
export function newsBody(news: News): string {
  const plain = (_key: string, value: unknown): unknown =>
    typeof value === 'string' ? plainLine(value) : value;
  return JSON.stringify({ format: 'evenfall-news', version: bodyVersion, ...news }, plain);
}

/** Characters of a subject that mail programs show, and more. */
const longestSubject = 160;
const longestReason = 500;

/** `fail: alcove-6, build 1.8.0: 2 of 26 claims do not pass`, one line whatever the names are. */
export function newsSubject(news: News): string {
  const { verdict, ended, lamp, build, claims, bench } = news;
  const { pass = 0, 'not applicable': beside = 0 } = claims;
  const all = Object.values(claims).reduce((sum, count) => sum + count, 0) - beside;
  const word = verdict === null || ended !== 'complete' ? ended : verdict;
  const found =
    bench === undefined ? countText(pass, all) : 'the bench was not good after the last claim';
  const text = plainLine(`${word}: ${lamp}, build ${build}: ${found}`);
  return [...text].slice(0, longestSubject).join('');
}

function countText(pass: number, all: number): string {
  if (all === 0) return 'no claim applies';
  if (all === 1) return pass === 1 ? 'the one claim passes' : 'the one claim does not pass';
  return pass === all ? `all ${all} claims pass` : `${all - pass} of ${all} claims do not pass`;
}

/** The mail's text: plain, a line each. */
export function newsText(news: News): string {
  const { of, id, lamp, build, serial, rig, isSimulated, verdict, ended, open, where } = news;
  const others = Object.entries(news.claims).filter(([, count]) => count > 0);
  const not = others.reduce((sum, [word, count]) => sum + (passes(word) ? 0 : count), 0);
  const lines = [
    `${of} ${id}: ${verdict ?? 'no verdict'}, ended ${ended}`,
    `lamp ${lamp}, build ${build}, serial ${serial}`,
    `rig ${rig}${isSimulated ? ' (simulated)' : ''}`,
    `from ${news.startedAt} to ${news.endedAt}`,
    `claims: ${others.map(([word, count]) => `${count} ${word}`).join(', ') || 'none'}`,
    ...(news.bench === undefined ? [] : [news.bench]),
    ...(where === null ? [] : [`see ${where}`]),
    '',
    ...open.map(({ claim, verdict: word, reason }) => {
      const why = reason === null ? '' : `: ${reason}`;
      return `${word}  ${claim}${[...why].slice(0, longestReason).join('')}`;
    }),
    ...(not > open.length ? [`and ${not - open.length} more`] : []),
    '',
    'Pre-compliance figures: they never certify.',
  ];
  return `${lines.map(plainLine).join('\n')}\n`;
}

function passes(word: string): boolean {
  return word === 'pass' || word === 'not applicable';
}
