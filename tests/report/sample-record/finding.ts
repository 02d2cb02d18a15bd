import type { Finding } from '../../../harness/record/run-record.ts';
import type { Ending } from '../../../harness/verdict/verdict.ts';

interface Made {
  metric: string;
  title: string;
  of: string;
  unit: string;
  shown: string;
  value: number;
  expanded: number;
  lower?: number;
  upper?: number;
  target?: number;
  text: string;
  verdict?: Ending;
  reason?: string | null;
  charts?: Finding['evidence']['charts'];
  notes?: Finding['evidence']['notes'];
}

export function finding(made: Made): Finding {
  const { value, expanded, verdict = 'pass' } = made;
  const standard = expanded / 2;
  return {
    metric: made.metric,
    title: made.title,
    of: made.of,
    unit: made.unit,
    shown: made.shown,
    source: 'made up for drawing',
    during: null,
    outcome: { measured: true, value },
    uncertainty: {
      expanded,
      coverageFactor: 2,
      contributions: [
        { name: 'scale of the photodiode', standard: standard * 0.8 },
        { name: 'noise', standard: standard * 0.5 },
        { name: 'fit residual', standard: standard * Math.sqrt(1 - 0.64 - 0.25) },
      ],
    },
    limits: {
      lower: made.lower ?? null,
      upper: made.upper ?? null,
      target: made.target ?? null,
      text:
        made.text === 'at most the limit of the lamp file'
          ? `at most ${limitText(made.upper ?? 0, made.shown)}`
          : made.text,
    },
    rule: 'guarded',
    verdict,
    reason: made.reason ?? null,
    captures: [],
    evidence: { charts: made.charts ?? [], notes: made.notes ?? {} },
  };
}

function limitText(upper: number, shown: string): string {
  const factor = { '%': 100, ms: 1e3, µs: 1e6, mA: 1e3 }[shown] ?? 1;
  return `${Number((upper * factor).toPrecision(4))} ${shown}`.replace(' 1', '').trim();
}
