import { setTimeout as wait } from 'node:timers/promises';
import type { Handler } from 'hono';
import { streamSSE } from 'hono/streaming';
import type { Lab } from '../../lab/lab.ts';
import { type Overview, overviewOf } from '../../lab/lab-overview.ts';
import type { Served } from './who.ts';

/** ms between two looks at the tables while anybody looks on. */
const pause = 1000;
/** ms after which something is sent though nothing changed: a page then knows that it is still live. */
const longestSilence = 10_000;

/** One look a second, for however many pages that are open. */
class OverviewFeed {
  readonly #lab: Lab;
  #look: { readonly at: number; readonly overview: Promise<Overview> } | null = null;

  constructor(lab: Lab) {
    this.#lab = lab;
  }

  now(): Promise<Overview> {
    const at = performance.now();
    if (!this.#look || at - this.#look.at > pause / 2)
      this.#look = { at, overview: overviewOf(this.#lab) };
    return this.#look.overview;
  }
}

/** Server-sent events `state`: the whole overview at once, and again whenever it has changed, until the reader is gone. */
export function sendOverviews(lab: Lab): Handler<Served> {
  const feed = new OverviewFeed(lab);
  return (c) =>
    streamSSE(c, async (stream) => {
      let sent = '';
      let sentAt = Number.NEGATIVE_INFINITY;
      while (!stream.aborted) {
        const overview = await feed.now();
        // The instant of the look alone is no news.
        const now = JSON.stringify({ ...overview, at: '' });
        if (now !== sent || performance.now() - sentAt > longestSilence) {
          await stream.writeSSE({ event: 'state', data: JSON.stringify(overview) });
          sent = now;
          sentAt = performance.now();
        }
        await wait(pause);
      }
    });
}
