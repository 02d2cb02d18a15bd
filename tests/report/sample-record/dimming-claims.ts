import type { SpecRecord } from '../../../harness/record/run-record.ts';
import { condition } from './condition.ts';
import { finding } from './finding.ts';
import { channels } from './lamp-channels.ts';
import { noise } from './noise.ts';
import * as charts from './sample-charts.ts';
import { simple, spec } from './spec.ts';

export function dimmingSpecs(): SpecRecord[] {
  const curve = spec(
    'dimming',
    'levels-follow-the-curve',
    'Every dim level gives the light that the logarithmic dimming curve promises.',
    ['100 %', '10 %', '1 %', '0.1 %'].map((level, k) =>
      condition(
        { level },
        channels.map((of, c) =>
          finding({
            metric: 'level-error',
            title: 'level error against the curve',
            of,
            shown: '%',
            unit: '1',
            value: (noise(k * 7 + c) - 0.5) * 0.03 * (k + 1),
            expanded: 0.006 * (k + 1),
            lower: -0.1,
            upper: 0.1,
            target: 0,
            text: '0 % ± 10 %',
            charts: k === 3 ? [charts.dimmingCurve()] : [],
          }),
        ),
        { signal: 'channel-current', unit: 'A' },
      ),
    ),
    ['LUM-010', 'LUM-011'],
  );
  const bottom = spec(
    'dimming',
    'bottom-level-holds-still',
    'Each channel holds 0.1 % for a minute without a change that an eye could see.',
    [
      condition(
        {},
        channels.flatMap((of, c) => [
          finding({
            metric: 'level-ratio',
            title: 'level ratio to full',
            of,
            unit: '1',
            shown: '%',
            value: 0.001 + (noise(c) - 0.5) * 0.00006,
            expanded: 0.000021,
            lower: 0.0009,
            upper: 0.0011,
            target: 0.001,
            text: '0.1 % ± 10 %',
          }),
          finding({
            metric: 'dropouts',
            title: 'dropouts',
            of,
            unit: '1',
            shown: '1',
            value: 0,
            expanded: 0,
            upper: 0,
            text: 'at most 0',
          }),
        ]),
        { signal: 'channel-current', unit: 'A' },
      ),
    ],
    ['LUM-012'],
  );
  return [
    curve,
    bottom,
    simple(
      'dimming',
      'no-step-back',
      'Light never falls while the level is raised.',
      'monotonicity',
      'largest step back',
      0.0002,
      0.001,
    ),
    simple(
      'dimming',
      'lowest-level-is-deep',
      'The lowest stable level is 0.1 % or deeper.',
      'lowest-level',
      'lowest stable level',
      0.00092,
      0.001,
    ),
    simple(
      'dimming',
      'level-noise-is-hidden',
      'At every level the light keeps still to 1 %.',
      'level-noise',
      'level noise',
      0.0041,
      0.01,
    ),
    simple(
      'dimming',
      'warm-up-drift',
      'Within ten minutes of full light no channel drifts by more than 3 %.',
      'drift',
      'drift',
      0.0187,
      0.03,
    ),
    simple(
      'dimming',
      'all-off-is-dark',
      'Off is dark: less than a hundred-thousandth of full light.',
      'level-ratio',
      'level ratio to full',
      0.0000021,
      0.00001,
    ),
  ];
}
