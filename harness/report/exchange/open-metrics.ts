import type { TrendSeries } from '../../record/trend.ts';
import type { UnitSymbol } from '../../units/unit.ts';
import { labelText } from './label-text.ts';

/** Names that the exposition format gives to base units; others go without a unit. */
const unitNames: Readonly<Record<UnitSymbol, string>> = {
  s: 'seconds',
  Hz: 'hertz',
  V: 'volts',
  A: 'amperes',
  W: 'watts',
  Ω: 'ohms',
  H: 'henries',
  F: 'farads',
  '°C': 'celsius',
  lx: 'lux',
  lm: 'lumens',
  K: 'kelvins',
};

/**
 * The newest point of every series as an OpenMetrics text for a node's text-file collector: the value, whether it
 * passed, and when its run started (as a value: that collector takes no time stamps).
 * Source: OpenMetrics 1.0 (EOF line and unit suffix confirmed, the rest from memory).
 */
export function renderOpenMetrics(series: readonly TrendSeries[]): string {
  const families = new Map<string, string[]>();
  const unitOf = new Map<string, string>();
  for (const one of series) {
    const last = one.points.at(-1);
    if (!last) continue;
    const unit = unitNames[one.unit];
    const name = `evenfall_${one.metric.replaceAll(/[^a-z0-9]+/gi, '_')}${unit ? `_${unit}` : ''}`;
    const labels = labelText({
      lamp: one.lamp,
      spec: one.spec,
      condition: one.condition,
      repeat: String(one.repeat),
      of: one.of,
      during: one.during ?? '',
      criterion: String(one.ordinal),
      build: last.build,
      metric: one.metric,
    });
    if (unit) unitOf.set(name, unit);
    if (last.value !== null) add(families, name, labels, last.value);
    add(families, 'evenfall_finding_pass', labels, last.verdict === 'pass' ? 1 : 0);
    add(families, 'evenfall_run_start_seconds', labels, Date.parse(last.started) / 1000);
  }
  unitOf.set('evenfall_run_start_seconds', 'seconds');
  const text = [...families].map(([name, lines]) => {
    const unit = unitOf.get(name);
    return [`# TYPE ${name} gauge`, ...(unit ? [`# UNIT ${name} ${unit}`] : []), ...lines].join(
      '\n',
    );
  });
  return [...text, '# EOF', ''].join('\n');
}

function add(families: Map<string, string[]>, name: string, labels: string, value: number): void {
  const lines = families.get(name) ?? [];
  lines.push(`${name}${labels} ${value}`);
  families.set(name, lines);
}
