import { expect } from 'vitest';

/** Lines as OpenMetrics 1.0 allows them (its ABNF, from memory): families one after another, each with its type before its samples. */
const label = /[a-zA-Z_]\w*="(?:[^"\\\n]|\\[\\"n])*"/.source;
const sample = new RegExp(
  `^([a-z_]+)(\\{${label}(?:,${label})*\\})? (-?\\d+(?:\\.\\d+)?(?:e[+-]\\d+)?)$`,
);

/** The samples of a text by name and labels, once it is held against the grammar. */
export function readOpenMetrics(text: string): ReadonlyMap<string, number> {
  const lines = text.split('\n');
  expect(lines.slice(-2)).toEqual(['# EOF', '']);
  const samples = new Map<string, number>();
  const families = new Set<string>();
  let family = '';
  for (const line of lines.slice(0, -2)) {
    const [, kind, name = ''] = /^# (TYPE|UNIT|HELP) ([a-z_]+) .+$/.exec(line) ?? [];
    if (kind === 'TYPE') {
      expect(families.has(name), name).toBe(false);
      families.add(name);
      family = name;
    } else if (kind) {
      expect(name).toBe(family);
      if (kind === 'UNIT') expect(name.endsWith(`_${line.split(' ')[3]}`), line).toBe(true);
    } else {
      const [, own = '', labels = '', value] = sample.exec(line) ?? [];
      expect([family, `${family}_info`, `${family}_total`], line).toContain(own);
      expect(samples.has(own + labels), line).toBe(false);
      samples.set(own + labels, Number(value));
    }
  }
  return samples;
}
