/**
 * The same figures as flicker.py, from the same record: how fast, and how far apart.
 * Run by hand: /usr/bin/python3 tests/bench/flicker.py /tmp/light.f8 && npx tsx tests/bench/flicker.ts /tmp/light.f8
 */
import { readFileSync } from 'node:fs';
import { flickerIndex } from '../../harness/measure/light/flicker-index.ts';
import { ieee1789LowRisk } from '../../harness/measure/light/ieee1789-low-risk.ts';
import { modulation } from '../../harness/measure/light/modulation.ts';
import { shortTermLightModulation } from '../../harness/measure/light/short-term-light-modulation.ts';
import { stroboscopicVisibility } from '../../harness/measure/light/stroboscopic-visibility.ts';
import { observing } from '../measure/light-of.ts';

const file = process.argv[2];
if (!file) throw new Error('expected the path of a record that flicker.py has written');
const bytes = readFileSync(file);
const light = new Float64Array(bytes.buffer, bytes.byteOffset, bytes.byteLength / 8);
const metrics = [
  modulation,
  flickerIndex,
  ieee1789LowRisk,
  stroboscopicVisibility,
  shortTermLightModulation,
];

let best = Infinity;
let lines: string[] = [];
for (let run = 0; run < 5; run++) {
  // A fresh copy each time: the analysis of a record is kept with its memory.
  const waveform = { samples: light.slice(), rate: 20e3, start: 0, unit: 'lx', clipped: 0 };
  const parts: string[] = [];
  const begin = performance.now();
  lines = metrics.map((metric) => {
    const start = performance.now();
    const outcome = metric.compute(observing(metric, waveform), { evidence: false });
    parts.push(`${metric.id} ${(performance.now() - start).toFixed(0)}`);
    return `${metric.id} ${outcome.measured ? outcome.value.toFixed(6) : outcome.reason}`;
  });
  const took = performance.now() - begin;
  if (took < best) best = took;
  console.error(parts.join(', '));
}
for (const line of lines) console.log(line);
console.log(`best of five: ${best.toFixed(0)} ms`);
