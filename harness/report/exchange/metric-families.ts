import { labelText } from './label-text.ts';

type Labels = Readonly<Record<string, string>>;
export type Sample = readonly [labels: Labels, value: number];

/** Figures of one name. */
export interface Family {
  readonly name: string;
  readonly type: 'gauge' | 'counter' | 'info' | 'stateset';
  readonly unit?: string;
  readonly help: string;
  readonly samples: readonly Sample[];
}

/** Media type of what is rendered here. */
export const openMetricsType = 'application/openmetrics-text; version=1.0.0; charset=utf-8';

/** OpenMetrics 1.0 text (from memory); families without samples are left out. */
export function renderFamilies(families: readonly Family[]): string {
  const lines = families.filter(({ samples }) => samples.length > 0).flatMap(linesOf);
  return `${[...lines, '# EOF'].join('\n')}\n`;
}

function linesOf({ name, type, unit, help, samples }: Family): readonly string[] {
  const suffix = { info: '_info', counter: '_total', gauge: '', stateset: '' }[type];
  return [
    `# TYPE ${name} ${type}`,
    ...(unit === undefined ? [] : [`# UNIT ${name} ${unit}`]),
    `# HELP ${name} ${help}`,
    ...samples.map(([labels, value]) => `${name}${suffix}${labelText(labels)} ${value}`),
  ];
}
