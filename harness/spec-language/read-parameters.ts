import { describeValue } from '../files/describe-value.ts';
import { didYouMean } from '../files/did-you-mean.ts';
import { unknownKey } from '../files/schema-issues.ts';
import type { Metric, Parameter } from '../measure/metric.ts';
import type { ValueReader } from '../plan/value-reader.ts';
import { type CriterionShape, criterionSchema } from './spec-schema.ts';

const ownKeys = Object.keys(criterionSchema.shape);

/** Every parameter of the metric, as written beside it or by default; keys that are neither are reported. */
export function readParameters(
  shape: CriterionShape,
  metric: Metric,
  reader: ValueReader,
): Record<string, number | string> {
  const known = [...ownKeys, ...metric.parameters.map(({ name }) => name)];
  for (const key of Object.keys(shape)) {
    if (!known.includes(key)) reader.at(key).report(unknownKey(key, known), null, 'key');
  }
  const values: Record<string, number | string> = {};
  for (const parameter of metric.parameters) {
    const { name, default: usual, about } = parameter;
    const written = Object.hasOwn(shape, name) ? shape[name] : undefined;
    if (written === undefined && usual === null)
      reader.report(`${metric.id} needs "${name}" (${about}); add it`);
    const value =
      written === undefined ? usual : readParameter(parameter, written, reader.at(name));
    if (value !== null) values[name] = value;
  }
  return values;
}

function readParameter(
  { kind }: Parameter,
  written: unknown,
  reader: ValueReader,
): number | string | null {
  if (typeof written !== 'string' && typeof written !== 'number') {
    reader.report(`expected a figure or a word, found ${describeValue(written)}`);
    return null;
  }
  if (typeof kind === 'string') return reader.figure(written, kind, { bare: true });
  const word = reader.text(written);
  if (kind.includes(word) || word.includes('$')) return word;
  const guess = didYouMean(word, [...kind]);
  reader.report(
    `expected one of ${kind.join(', ')}, found ${describeValue(word)}${guess}`,
    written,
  );
  return null;
}
