import type { RunRecord } from '../../../harness/record/run-record.ts';
import { type Trace, traceOf } from '../../../harness/report/pages/run/trace.ts';
import { noise } from './noise.ts';

/** One trace for each capture of the record: a fade with a little noise. */
export function sampleTraces(record: RunRecord): Trace[] {
  return record.specs.flatMap((s) =>
    s.conditions.flatMap((c) =>
      c.captures.map((cap, k) => {
        const count = Math.round(c.duration * 800);
        const samples = Float32Array.from({ length: count }, (_, i) => {
          const t = i / 800;
          const along = Math.min(1, Math.max(0, (t - 0.3) / Math.max(0.1, c.duration - 0.8)));
          const ripple = cap.signal === 'light' ? 1 + 0.02 * Math.sin(2 * Math.PI * 37 * t) : 1;
          return 0.35 * 10 ** (-along * (k % 3)) * ripple * (1 + 0.004 * (noise(i + k) - 0.5));
        });
        return traceOf(cap, { samples, rate: 800, start: 0, unit: cap.unit });
      }),
    ),
  );
}
