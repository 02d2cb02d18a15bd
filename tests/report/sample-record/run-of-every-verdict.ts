import type { RunRecord, SpecRecord } from '../../../harness/record/run-record.ts';
import { colourSpecs } from './colour-claims.ts';
import { numberCapturesAnew } from './condition.ts';
import { controlSpecs } from './control-claims.ts';
import { currentSpecs } from './current-claims.ts';
import { dimmingSpecs } from './dimming-claims.ts';
import { fadingSpecs } from './fading-claims.ts';
import { flickerSpecs } from './flicker-claims.ts';
import { recordOf } from './record-of.ts';
import { robustnessSpecs } from './robustness-claims.ts';

/**
 * A run of the invented lamp Alcove-6 as the engine would record it: every verdict, every kind of chart, fixed in time.
 * The figures are made up for drawing; no report test reads physics from them.
 */
export function sampleRecord(): RunRecord {
  numberCapturesAnew();
  return recordOf(sampleSpecs());
}

/** Six claims of the same run, one of each ending and one that does not apply: short enough for golden files. */
export function shortRecord(): RunRecord {
  const wanted = [
    'no-overshoot',
    'crossfade-arrives-together',
    'dimming-keeps-the-colour',
    'named-whites-hit-their-point',
    'off-time-is-fixed',
    'lost-signal-is-held',
  ];
  const specs = sampleRecord().specs.filter((one) => wanted.includes(one.spec));
  for (const one of specs) one.conditions = one.conditions.slice(-1);
  return recordOf(specs);
}

function sampleSpecs(): SpecRecord[] {
  return [
    ...dimmingSpecs(),
    ...fadingSpecs(),
    ...colourSpecs(),
    ...flickerSpecs(),
    ...currentSpecs(),
    ...controlSpecs(),
    ...robustnessSpecs(),
  ];
}
