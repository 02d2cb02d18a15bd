import type { FlakyClaim } from '../../../record/flaky-claim.ts';
import { type Content, element, type Markup } from '../../html/markup.ts';
import { counted } from '../../text/summary.ts';
import { plainLine } from '../../words/plain-text.ts';
import { runHref } from './run-list.ts';

export interface TrendAsked {
  readonly metric: string;
  readonly spec: string;
  readonly of: string;
  readonly lamp: string;
  readonly last: string;
}

/** Which metric to follow, and the claims that come out both ways. */
export function viewTrends(
  asked: TrendAsked,
  metrics: readonly string[],
  found: Content,
  flaky: readonly FlakyClaim[],
): Content {
  if (metrics.length === 0)
    return element(
      'p',
      { class: 'aside' },
      'The archive holds no findings yet. evenfall run specs makes some.',
    );
  return [trendForm(asked, metrics), found, asked.metric === '' && flakySection(flaky)];
}

function trendForm(asked: TrendAsked, metrics: readonly string[]): Markup {
  const field = (name: 'spec' | 'of' | 'lamp' | 'last', label: string, placeholder: string) =>
    element(
      'label',
      {},
      element('span', {}, label),
      element('input', { name, value: asked[name], placeholder, autocomplete: 'off' }),
    );
  const options =
    metrics.includes(asked.metric) || asked.metric === '' ? metrics : [asked.metric, ...metrics];
  return element(
    'form',
    { class: 'asking', method: 'get', action: '/trend' },
    element(
      'div',
      { class: 'fields' },
      element(
        'label',
        { class: 'search' },
        element('span', {}, 'Metric'),
        element(
          'select',
          { name: 'metric' },
          options.map((metric) =>
            element('option', { value: metric, selected: metric === asked.metric }, metric),
          ),
        ),
      ),
      field('spec', 'Claim', 'any'),
      field('of', 'Of', 'a channel, light, lamp'),
      field('lamp', 'Lamp', 'any'),
      field('last', 'Youngest runs', '60'),
      element('button', { class: 'press' }, 'Follow'),
    ),
  );
}

function flakySection(claims: readonly FlakyClaim[]): Markup {
  return element(
    'section',
    {},
    element('h2', {}, 'Claims that come out both ways'),
    claims.length === 0
      ? element(
          'p',
          { class: 'aside' },
          'None: no claim passed and failed on one build, lamp and rig.',
        )
      : element(
          'ul',
          { class: 'plain' },
          claims.map(({ spec, lamp, build, rig, runs, passed, failed, turns }) =>
            element(
              'li',
              {},
              element('strong', {}, plainLine(spec)),
              plainLine(
                `: ${passed} passed, ${failed} failed in ${runs} runs of ${lamp} ${build} on ${rig}; the verdict turned ${counted(turns, 'time')}.`,
              ),
            ),
          ),
        ),
  );
}

/** Where the run of a point is opened. */
export function pointHref({ folder }: { readonly folder: string }): string {
  return runHref(folder);
}
