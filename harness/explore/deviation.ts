import type { Heard } from '../bench/heard.ts';
import type { Excursion } from './excursion.ts';
import type { WrongAnswer } from './wrong-answer.ts';

/** What a lamp did that no lamp of this kind may do. */
export type Deviation =
  | { readonly kind: 'light'; readonly excursion: Excursion; readonly lead: Heard | null }
  | { readonly kind: 'answer'; readonly answer: WrongAnswer; readonly lead: Heard | null }
  | { readonly kind: 'breakdown'; readonly reason: string }
  /** Of a bench: a criterion that was not met. `what`: coarsely, without figures. */
  | { readonly kind: 'finding'; readonly what: string; readonly reason: string };

/**
 * Names the kind of a deviation coarsely: two of one cause nearly always have the same. What led to it, and whether the light was too
 * bright or too dark.
 */
export function coarseKind(deviation: Deviation): string {
  if (deviation.kind === 'breakdown')
    return `breakdown ${deviation.reason.replace(/[\d.]+/g, '#')}`;
  if (deviation.kind === 'finding') return deviation.what;
  const lead = deviation.lead ? nameOf(deviation.lead) : 'nothing';
  if (deviation.kind === 'answer') return `answer to ${lead}`;
  const { found, high } = deviation.excursion;
  return `${found > high ? 'too bright' : 'too dark'} after ${lead}`;
}

/** A message without its figures. */
function nameOf(event: Heard): string {
  switch (event.kind) {
    case 'console':
      return `console ${event.line.split(' ')[0] ?? ''}`;
    case 'dali':
      return `dali ${daliName(event.frame)}`;
    case 'supply':
      return event.volts > 0 ? 'supply on' : 'supply off';
    case 'dmx':
      return event.startCode === 0 ? 'dmx' : 'dmx of another start code';
    default:
      return event.kind;
  }
}

/** To whom, and the command; a direct level without its value. */
function daliName(frame: readonly number[]): string {
  const [first = 0, second = 0] = frame;
  if (frame.length !== 2) return `frame of ${8 * frame.length} bits`;
  const special = first >= 0xa0 && first <= 0xcb;
  if (special) return `special ${first.toString(16)}`;
  const whom = first >= 0xfe ? 'broadcast' : first >= 0x80 ? 'group' : 'short';
  if ((first & 1) === 0) return `${whom} level${second === 255 ? ' mask' : ''}`;
  return `${whom} ${second.toString(16)}`;
}
