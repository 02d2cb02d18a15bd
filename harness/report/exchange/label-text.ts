import { plainText } from '../../files/plain-text.ts';

/** Labels of a sample as OpenMetrics 1.0 writes them (from memory); empty for none. */
export function labelText(labels: Readonly<Record<string, string>>): string {
  const pairs = Object.entries(labels).map(([name, value]) => `${name}="${escaped(value)}"`);
  return pairs.length === 0 ? '' : `{${pairs.join(',')}}`;
}

function escaped(value: string): string {
  return plainText(value).replaceAll('\\', '\\\\').replaceAll('"', '\\"').replaceAll('\n', '\\n');
}
