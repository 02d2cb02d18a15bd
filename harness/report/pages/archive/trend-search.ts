import { plainLine } from '../../../files/plain-text.ts';
import type { FlakyClaim } from '../../../record/trend.ts';
import { type Content, type Html, html } from '../../html/html.ts';
import { flakyText } from '../../words/trend-words.ts';
import { chosenOption, field, searchForm } from './form.ts';

export interface TrendAsked {
  readonly metric: string;
  readonly spec: string;
  readonly of: string;
  readonly lamp: string;
  readonly last: string;
}

/** Which metric to follow, and the claims that come out both ways. */
export function trendSearch(
  asked: TrendAsked,
  metrics: readonly string[],
  found: Content,
  flaky: readonly FlakyClaim[],
): Content {
  if (metrics.length === 0)
    return html`<p class="aside">The archive has no findings yet. To make some: evenfall run specs</p>`;
  return [trendForm(asked, metrics), found, asked.metric === '' && flakySection(flaky)];
}

function trendForm(asked: TrendAsked, metrics: readonly string[]): Html {
  const { metric, spec, of, lamp, last } = asked;
  const all = metrics.includes(metric) || metric === '' ? metrics : [metric, ...metrics];
  const fields = [
    html`
      <label class="search">
        <span>Metric</span>
        <select name="metric">${all.map((one) => chosenOption(one, one === metric))}</select>
      </label>`,
    field({ name: 'spec', label: 'Claim', value: spec, placeholder: 'any' }),
    field({ name: 'of', label: 'Of', value: of, placeholder: 'a channel, light, lamp' }),
    field({ name: 'lamp', label: 'Lamp', value: lamp, placeholder: 'any' }),
    field({ name: 'last', label: 'Newest runs', value: last, placeholder: '60' }),
  ];
  return searchForm('/trend', fields, 'Show');
}

function flakySection(claims: readonly FlakyClaim[]): Html {
  const items = claims.map((claim) => {
    const words = plainLine(`: ${flakyText(claim)}.`);
    return html`<li><strong>${plainLine(claim.spec)}</strong>${words}</li>`;
  });
  return html`
    <section>
      <h2>Flaky claims</h2>
      ${
        items.length === 0
          ? html`<p class="aside">None: no claim both passed and failed on one build, lamp and rig.</p>`
          : html`<ul class="plain">${items}</ul>`
      }
    </section>`;
}
