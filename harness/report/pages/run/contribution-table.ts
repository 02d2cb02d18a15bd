import type { Finding } from '../../../record/run-record.ts';
import { type Html, html } from '../../html/html.ts';
import { row, table } from '../../html/table.ts';
import type { DrawnChart, DrawnLine } from '../../pictures/drawn-chart.ts';
import { unbroken } from '../../words/prose.ts';
import { autoText, figureText } from '../../words/value-text.ts';

/** As many as a reader compares. */
const shown = 5;

/** One part of what a metric is made of. */
interface Part {
  readonly name: string;
  readonly figure: string;
  /** Of what is allowed, 1 for all of it. */
  readonly share: number;
}

/** What the first two columns are called. */
interface Heads {
  readonly name: string;
  readonly figure: string;
}

/**
 * The parts that use most of a limit, where a metric is made of parts: components of a spectrum against the limit in its picture,
 * channels of a crossfade after the first. Null for others.
 */
export function contributionTable(finding: Finding, charts: readonly DrawnChart[]): Html | null {
  const found = channelParts(finding) ?? componentParts(charts);
  if (!found || found.parts.length === 0) return null;
  const largest = [...found.parts].sort((a, b) => b.share - a.share).slice(0, shown);
  const rows = largest.map(({ name, figure, share }) =>
    row([unbroken(name), unbroken(figure), shareText(share)]),
  );
  const left = found.parts.length - largest.length;
  return html`
    <section class="contributions">
      <h4>Largest contributions</h4>
      ${table([found.heads.name, found.heads.figure, 'of the limit'], rows)}
      ${left > 0 && html`<p>and ${left} smaller</p>`}
    </section>`;
}

/** A hundredth is finer than anybody asks of a part; what is less still counts in a sum. */
function shareText(share: number): string {
  if (share === 0) return '0 %';
  return share < 0.01 ? '< 1 %' : `${Math.round(share * 100)} %`;
}

interface Parts {
  readonly heads: Heads;
  readonly parts: readonly Part[];
}

/** Components of the first spectrum that has a limit in it; where the limit ends, what lies beyond does not count. */
function componentParts(charts: readonly DrawnChart[]): Parts | null {
  for (const { kind, x, y, lines } of charts) {
    const limit = lines.find(({ role }) => role === 'limit');
    const measured = lines.filter(({ role, x: at }) => role === 'measured' && at.length > 1);
    if (kind !== 'spectrum' || !limit) continue;
    const parts = measured.flatMap((line) =>
      line.x.flatMap((at, k): Part[] => {
        const [size, allowed] = [line.y[k], valueAt(limit, at)];
        if (size === undefined || allowed === null || !(allowed > 0)) return [];
        const figure = figureText(size, y.unit, y.shown ?? y.unit, 3);
        return [{ name: autoText(at, x.unit, 4), figure, share: size / allowed }];
      }),
    );
    return { heads: { name: x.label, figure: y.label }, parts };
  }
  return null;
}

/** A line at a place between two of its points, straight; null beyond its ends. */
function valueAt({ x, y }: DrawnLine, at: number): number | null {
  const k = x.findIndex((place) => place >= at);
  const [x1, y1] = [x[k], y[k]];
  if (x1 === undefined || y1 === undefined) return null;
  if (x1 === at) return y1;
  const [x0, y0] = [x[k - 1], y[k - 1]];
  if (x0 === undefined || y0 === undefined) return null;
  return y0 + ((y1 - y0) * (at - x0)) / (x1 - x0);
}

/** Which notes of a metric are instants of channels: what comes before the channel's name. */
const instants: Readonly<Record<string, string>> = {
  'arrival-spread': 'arrival-',
  'start-spread': 'start-',
};

/** How much later than the first each channel is. */
function channelParts({ metric, evidence, limits, unit, shown: as }: Finding): Parts | null {
  const prefix = instants[metric];
  const { upper } = limits;
  if (prefix === undefined || upper === null || !(upper > 0)) return null;
  const channels = Object.entries(evidence.notes).flatMap(([name, at]) =>
    name.startsWith(prefix) && typeof at === 'number'
      ? [{ name: name.slice(prefix.length), at }]
      : [],
  );
  const first = Math.min(...channels.map(({ at }) => at));
  const parts = channels.map(({ name, at }): Part => {
    const late = at - first;
    return { name, figure: figureText(late, unit, as, 3), share: late / upper };
  });
  return { heads: { name: 'channel', figure: 'after the first' }, parts };
}
