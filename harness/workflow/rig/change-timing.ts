import { isMap, isSeq, parseDocument } from 'yaml';
import type { LinkTiming } from '../../bench/rig.ts';
import { figureText } from './figure-text.ts';

/** The text of a rig file with what was found of its timing; what it said of the same links and digitisers is replaced. */
export function changeTiming(text: string, found: readonly LinkTiming[]): string {
  const document = parseDocument(text);
  if (!isSeq(document.get('timing'))) document.set('timing', document.createNode([]));
  const timing = document.get('timing');
  if (!isSeq(timing)) throw new Error('a list that was just made is none');
  for (const { delay, scatter, exchange, ...one } of found) {
    const ms = (seconds: number): string => `${figureText(seconds * 1000)} ms`;
    const times = { delay: ms(delay), scatter: ms(scatter), exchange: ms(exchange) };
    const { link, digitiser, seen, edges, date } = one;
    const entry = document.createNode(
      { link, digitiser, seen, ...times, edges, date },
      { flow: true },
    );
    const place = timing.items.findIndex(
      (item) => isMap(item) && item.get('link') === link && item.get('digitiser') === digitiser,
    );
    if (place < 0) timing.add(entry);
    else timing.set(place, entry);
  }
  return document.toString({ lineWidth: 0 });
}
