import type { SpecRecord } from '../../../harness/record/run-record.ts';
import { simple, spec } from './spec.ts';

export function controlSpecs(): SpecRecord[] {
  return [
    simple(
      'control',
      'commands-act-at-once',
      'A command shows in the light within 40 ms.',
      'command-latency',
      'command latency',
      0.0184,
      0.04,
      's',
      'ms',
    ),
    simple(
      'control',
      'dali-fade-times-are-right',
      'Every DALI fade time code gives its time.',
      'fade-duration-error',
      'fade time error',
      0.0072,
      0.05,
    ),
    simple(
      'control',
      'levels-are-clamped',
      'Levels outside the range are clamped to it.',
      'level-error',
      'level error against the curve',
      0.002,
      0.05,
    ),
    simple(
      'control',
      'start-code-is-heeded',
      'Slots with another START code change nothing.',
      'level-ratio-change',
      'change of level',
      0.0001,
      0.005,
    ),
    {
      ...spec(
        'control',
        'lost-signal-is-held',
        'When the control signal is lost, the lamp holds its light.',
        [],
        ['LUM-101'],
      ),
      verdict: 'not run',
      reason: 'The rig carries no DMX link.',
    },
  ];
}
