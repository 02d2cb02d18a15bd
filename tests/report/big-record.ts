import type { RunRecord } from '../../harness/record/run-record.ts';
import { type Trace, traceIntervals } from '../../harness/report/pages/run/trace.ts';
import { condition, finding, noise, recordOf, spec } from './sample-record.ts';

/** 3,000 findings in 50 claims, every one with a chart of 1,000 points, and 200 captures: the size a page must bear. */
export function bigRecord(): RunRecord {
  const specs = Array.from({ length: 50 }, (_, s) =>
    spec(
      ['dimming', 'fading', 'colour', 'flicker', 'current'][s % 5]!,
      `claim-${s}`,
      `Claim number ${s} holds in every condition.`,
      Array.from({ length: 4 }, (_, c) =>
        condition(
          { level: `${c}` },
          Array.from({ length: 15 }, (_, f) => bigFinding(s, c, f)),
          { signal: 'light', unit: 'lx' },
        ),
      ),
      [`LUM-${s}`],
    ),
  );
  return recordOf(specs);
}

/** Every sample differs, so that nothing is saved by luck. */
export function bigTraces(record: RunRecord): Trace[] {
  return record.specs.flatMap(({ conditions }) =>
    conditions.flatMap(({ captures }) =>
      captures.map(({ file, signal, of, unit }, k) => ({
        file,
        signal,
        of,
        unit,
        x0: 0,
        dx: 0.001,
        min: Array.from({ length: traceIntervals }, (_, i) => noise(i + k)),
        max: Array.from({ length: traceIntervals }, (_, i) => 1 + noise(i + k + 0.5)),
      })),
    ),
  );
}

const x = Array.from({ length: 1000 }, (_, k) => k / 100);

function bigFinding(s: number, c: number, f: number) {
  const bad = s % 10 === 0 && c === 0 && f < 4;
  return finding({
    metric: 'level-error',
    title: 'level error',
    of: ['warm', 'cool', 'red'][f % 3]!,
    unit: '1',
    shown: '%',
    value: bad ? 0.2 : 0.001 * f,
    expanded: 0.002,
    lower: -0.1,
    upper: 0.1,
    text: '0 % ± 10 %',
    verdict: bad ? 'fail' : 'pass',
    reason: bad ? 'Twice as much as allowed.' : null,
    charts: [
      {
        kind: 'waveform',
        title: 'light over time',
        x: { label: 'time', unit: 's', scale: 'linear' },
        y: { label: 'light', unit: 'lx', scale: 'linear' },
        lines: [
          {
            name: 'light',
            role: 'measured',
            x,
            // One spike, at a place that thinning would like to skip.
            y: x.map((_, k) => (k === 617 ? 9 : noise(k + f + c + s))),
          },
        ],
        marks: [],
      },
    ],
  });
}
