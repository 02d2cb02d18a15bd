import type { ConditionRecord, SpecRecord } from '../../../harness/record/run-record.ts';
import { condition } from './condition.ts';
import { finding } from './finding.ts';
import { channels } from './lamp-channels.ts';
import { noise } from './noise.ts';
import * as charts from './sample-charts.ts';
import { simple, spec } from './spec.ts';

const fadeTimes = ['0.7 s', '2 s', '8 s'];

export function fadingSpecs(): SpecRecord[] {
  const crossfade = spec(
    'fading',
    'crossfade-arrives-together',
    'In a crossfade every channel reaches its target at the same instant, and on time.',
    fadeTimes.map((fadeTime, k) => crossfadeCondition(fadeTime, k)),
    ['LUM-041', 'LUM-042'],
  );
  return [
    crossfade,
    spec(
      'fading',
      'fade-takes-its-time',
      'A fade from 100 % to 1 % takes the time that was asked for.',
      fadeTimes.map((fadeTime, k) => {
        const asked = Number.parseFloat(fadeTime);
        return condition(
          { 'fade-time': fadeTime },
          channels.map((of, c) =>
            finding({
              metric: 'fade-duration',
              title: 'fade duration',
              of,
              unit: 's',
              shown: asked < 1 ? 'ms' : 's',
              value: asked * (1 + (noise(k * 11 + c) - 0.45) * 0.03),
              expanded: asked * 0.004,
              lower: asked * 0.95,
              upper: asked * 1.05,
              target: asked,
              text: `${fadeTime} ± 5 %`,
              charts: c === 0 ? [charts.fade(asked)] : [],
            }),
          ),
          { signal: 'channel-current', unit: 'A' },
        );
      }),
      ['LUM-040'],
    ),
    simple(
      'fading',
      'no-overshoot',
      'A fade never goes past its target.',
      'fade-overshoot',
      'fade overshoot',
      0.0031,
      0.01,
    ),
    simple(
      'fading',
      'fade-follows-the-curve',
      'A fade is straight in the dimming-curve domain.',
      'curve-deviation',
      'curve deviation',
      0.013,
      0.03,
    ),
    simple(
      'fading',
      'no-visible-step',
      'No step of a slow fade is large enough to be seen.',
      'largest-visible-step',
      'largest visible step',
      0.0068,
      0.01,
    ),
    simple(
      'fading',
      'fade-can-be-turned-back',
      'A fade that is turned back midway starts from the present light.',
      'retarget-jump',
      'jump on turning back',
      0.0012,
      0.01,
    ),
    simple(
      'fading',
      'steps-at-the-bottom',
      'The smallest step of the bottom end stays below 2 %.',
      'step-size',
      'step size at the bottom',
      0.0132,
      0.02,
    ),
  ];
}

function crossfadeCondition(fadeTime: string, k: number): ConditionRecord {
  const spread = [0.0062, 0.0137, 0.0412][k] ?? 0;
  const late = spread > 0.02;
  const asked = Number.parseFloat(fadeTime);
  return condition(
    { 'fade-time': fadeTime },
    [
      finding({
        metric: 'arrival-spread',
        title: 'arrival spread',
        of: 'lamp',
        unit: 's',
        shown: 'ms',
        value: spread,
        expanded: 0.0029,
        upper: 0.02,
        text: 'at most 20 ms',
        verdict: late ? 'fail' : 'pass',
        reason: late ? 'indigo arrives 41 ms after warm; 20 ms are allowed.' : null,
        charts: [charts.arrivals(asked, spread), charts.fade(asked)],
        notes: { first: 'warm', last: late ? 'indigo' : 'cyan', 'fade duration': asked },
      }),
      ...channels.map((of, c) =>
        finding({
          metric: 'fade-duration',
          title: 'fade duration',
          of,
          unit: 's',
          shown: 's',
          value: asked * (1 + (noise(c + k) - 0.4) * 0.02) + (late && of === 'indigo' ? 0.04 : 0),
          expanded: asked * 0.003,
          lower: asked * 0.95,
          upper: asked * 1.05,
          target: asked,
          text: `${fadeTime} ± 5 %`,
          charts: [charts.fade(asked)],
        }),
      ),
    ],
    { signal: 'channel-current', unit: 'A', fade: asked },
  );
}
