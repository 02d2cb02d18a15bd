import type { SpecRecord } from '../../../harness/record/run-record.ts';
import { condition } from './condition.ts';
import { finding } from './finding.ts';
import * as charts from './sample-charts.ts';
import { simple, spec } from './spec.ts';

export function colourSpecs(): SpecRecord[] {
  const path = spec(
    'colour',
    'crossfade-keeps-to-its-path',
    'A crossfade from warm to cool goes straight through the colours between them.',
    [
      condition(
        {},
        [
          finding({
            metric: 'path-deviation',
            title: "path deviation in u'v'",
            of: 'light',
            unit: '1',
            shown: '1',
            value: 0.0042,
            expanded: 0.0009,
            upper: 0.006,
            text: 'at most 0.006',
            charts: [charts.colourPath()],
          }),
        ],
        { signal: 'light', unit: 'lx' },
      ),
    ],
    ['LUM-061'],
  );
  const shift = spec(
    'colour',
    'dimming-keeps-the-colour',
    'Dimming from 100 % to 1 % shifts the colour of the mix by less than one step.',
    [
      condition(
        { level: '1 %' },
        [
          finding({
            metric: 'uv-shift',
            title: "u'v' shift",
            of: 'light',
            unit: '1',
            shown: '1',
            value: 0.00104,
            expanded: 0.00022,
            upper: 0.0011,
            text: 'at most 0.0011',
            verdict: 'inconclusive',
            reason:
              'The value ± U reaches over the limit; a colour sensor with U below 0.00006 would decide it.',
          }),
        ],
        { signal: 'light', unit: 'lx' },
      ),
    ],
    ['LUM-060'],
  );
  const overdue = spec(
    'colour',
    'named-whites-hit-their-point',
    'Named whites lie within three SDCM steps of their point.',
    [
      {
        ...condition({ white: '3000 K' }, []),
        verdict: 'error',
        attempts: 2,
        reason:
          'Expected a reading from the colour sensor within 2 s, found none in 2 attempts; look at its cable and its supply.',
      },
    ],
    ['LUM-062'],
  );
  return [
    path,
    shift,
    overdue,
    simple(
      'colour',
      'channel-ratios-hold',
      'While dimming, the ratios between channels drift by less than 2 %.',
      'channel-ratio-drift',
      'channel-ratio drift',
      0.0088,
      0.02,
    ),
    simple(
      'colour',
      'mixing-is-additive',
      'A mix gives the sum of its channels.',
      'mixing-error',
      'mixing error',
      0.0031,
      0.01,
    ),
  ];
}
