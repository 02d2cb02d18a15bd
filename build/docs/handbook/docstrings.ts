import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Metric } from '../../../harness/measure/metric.ts';

/** The parts of a metric's docstring, in the order in which the handbook prints them. */
export const labels = [
  'Inputs',
  'Output',
  'Noise',
  'Trend',
  'Steady light',
  'Floor',
  'Not measurable',
  'Fooled by',
  'Source',
] as const;

type Label = (typeof labels)[number];

/** What a metric's docstring says of it; `about` is what stands before the first label: what is computed, with its formula. */
export interface Described {
  readonly about: string;
  readonly parts: ReadonlyMap<Label, string>;
}

/** What the docstrings in `harness/measure/metrics` say of every metric that its file exports, by the metric's id. */
export async function describedMetrics(
  folder: string,
  files: readonly string[],
): Promise<ReadonlyMap<string, Described>> {
  const described = new Map<string, Described>();
  for (const file of files) {
    const path = join(folder, file);
    const exported: Readonly<Record<string, unknown>> = await import(pathToFileURL(path).href);
    const source = readFileSync(path, 'utf8');
    for (const [name, value] of Object.entries(exported))
      if (isMetric(value)) described.set(value.id, describe(source, name));
  }
  return described;
}

function isMetric(value: unknown): value is Metric {
  return typeof value === 'object' && value !== null && 'compute' in value && 'id' in value;
}

/** A metric's own docstring; what it leaves out, that of the function which makes several of a kind. */
function describe(source: string, name: string): Described {
  const [, maker = ''] =
    new RegExp(`export const ${name}(?:: Metric)? = (\\w+)\\(`).exec(source) ?? [];
  const own = parse(docstringOf(source, `export const ${name}\\b`));
  const shared = parse(maker === '' ? '' : docstringOf(source, `function ${maker}\\b`));
  const about = [own.about, shared.about].filter((text) => text !== '').join('\n\n');
  return { about, parts: new Map([...shared.parts, ...own.parts]) };
}

function docstringOf(source: string, declaration: string): string {
  const [, text = ''] =
    new RegExp(`/\\*\\*((?:(?!\\*/)[\\s\\S])*)\\*/\\n${declaration}`).exec(source) ?? [];
  return (
    text
      .replace(/^\s*\* ?/gm, '')
      .replace(/^@param[\s\S]*/m, '')
      // Readers of the handbook do not read the code.
      .replace(/;? \(?(?:see )?`?[\w-]+\.ts`?\)?/g, '')
      .replace(/\s+/g, ' ')
      .trim()
  );
}

function parse(text: string): Described {
  const [about = '', ...rest] = text.split(new RegExp(`(?:^|(?<=[.;] ))(${labels.join('|')}): `));
  const parts = new Map<Label, string>();
  for (let k = 0; k + 1 < rest.length; k += 2) {
    const label = labels.find((one) => one === rest[k]);
    if (label) parts.set(label, (rest[k + 1] ?? '').trim());
  }
  return { about: about.trim(), parts };
}
