import type { SpecRecord } from '../../../harness/record/run-record.ts';
import { condition } from './condition.ts';
import { finding } from './finding.ts';
import * as charts from './sample-charts.ts';
import { simple, spec } from './spec.ts';

export function flickerSpecs(): SpecRecord[] {
  const bands = spec(
    'flicker',
    'no-bands-on-a-camera',
    'No camera shutter up to 1/1000 s shows bands at 1 % light.',
    ['1/50 s', '1/500 s', '1/1000 s'].map((shutter, k) =>
      condition(
        { shutter },
        [
          finding({
            metric: 'band-contrast',
            title: 'band contrast',
            of: 'light',
            unit: '1',
            shown: '%',
            value: [0.0004, 0.0092, 0.0191][k] ?? 0,
            expanded: 0.004,
            upper: 0.02,
            text: 'at most 2 %',
            verdict: k === 2 ? 'inconclusive' : 'pass',
            reason:
              k === 2
                ? 'The uncertainty (0.4 %) straddles the limit; a quieter photodiode range would decide it.'
                : null,
            charts: [charts.bands(k)],
          }),
        ],
        { signal: 'light', unit: 'lx' },
      ),
    ),
    ['LUM-083'],
  );
  const region = spec(
    'flicker',
    'modulation-stays-below-the-line',
    'At every level the modulation of the light stays in the low-risk region of IEEE 1789-2015.',
    [
      condition(
        { level: '10 %' },
        [
          finding({
            metric: 'ieee-1789-ratio',
            title: 'modulation over its limit (IEEE 1789)',
            of: 'light',
            unit: '1',
            shown: '1',
            value: 2.71,
            expanded: 0.11,
            upper: 1,
            text: 'at most 1',
            verdict: 'fail',
            reason:
              'The component at 200 Hz has 43 % modulation; the low-risk line is at 16 % there.',
            charts: [charts.spectrum()],
            notes: { 'dominant frequency': 200, component: '200 Hz' },
          }),
          finding({
            metric: 'modulation',
            title: 'modulation (percent flicker)',
            of: 'light',
            unit: '1',
            shown: '%',
            value: 0.437,
            expanded: 0.012,
            upper: 0.08,
            text: 'at most 8 %',
            verdict: 'fail',
            reason: 'Found 43.7 %, five times what is allowed.',
          }),
        ],
        { signal: 'light', unit: 'lx', ripple: true },
      ),
    ],
    ['LUM-080'],
  );
  const unmeasured = spec(
    'flicker',
    'stroboscopic-effect-stays-hidden',
    'SVM stays below 0.4 at every level.',
    [
      condition(
        { level: '0.1 %' },
        [
          {
            ...finding({
              metric: 'svm',
              title: 'SVM',
              of: 'light',
              unit: '1',
              shown: '1',
              value: 0,
              expanded: 0,
              upper: 0.4,
              text: 'at most 0.4',
              verdict: 'error',
              reason:
                'Expected a light signal above 0.05 lx, found 0.013 lx (below noise); use the more sensitive photodiode range.',
            }),
            outcome: {
              measured: false,
              reason: 'below-noise',
              found: 0.013,
              needed: 0.05,
              unit: 'lx',
            },
            uncertainty: null,
          },
        ],
        { signal: 'light', unit: 'lx' },
      ),
    ],
    ['LUM-082'],
  );
  return [
    bands,
    region,
    unmeasured,
    simple(
      'flicker',
      'flicker-index-is-low',
      'The flicker index stays below 0.02 from 1 % to 100 %.',
      'flicker-index',
      'flicker index',
      0.0061,
      0.02,
    ),
    simple(
      'flicker',
      'short-term-flicker-is-unseen',
      'PstLM stays below 1 on a clean supply.',
      'pst-lm',
      'PstLM',
      0.21,
      1,
    ),
    simple(
      'flicker',
      'no-beat-between-channels',
      'Channels lit together do not beat.',
      'modulation',
      'modulation (percent flicker)',
      0.0035,
      0.01,
    ),
  ];
}
