import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { lockedPackages, refusedLicences } from '../../build/licence-rules.ts';

describe('licences of what is installed', () => {
  it('are all on the list of those allowed', () => {
    const packages = lockedPackages(readFileSync('package-lock.json', 'utf8'));
    expect(packages.length).toBeGreaterThan(100);
    expect(refusedLicences(packages)).toEqual([]);
  });

  const lockOf = (license: string | undefined, dev: boolean): string =>
    JSON.stringify({
      packages: { '': {}, 'node_modules/@a/b': { version: '1.0.0', license, dev } },
    });
  const refused = (license: string | undefined, dev = false) =>
    refusedLicences(lockedPackages(lockOf(license, dev)));

  it('are refused with a sentence where they are not, or where none is stated', () => {
    const permissive = '0BSD, Apache-2.0, BSD-2-Clause, BSD-3-Clause, ISC, MIT, MIT-0';
    expect(refused('GPL-3.0-only')).toEqual([
      `@a/b 1.0.0: expected one of ${permissive}, found GPL-3.0-only`,
    ]);
    expect(refused(undefined)[0]).toContain('found none stated');
    expect(refused('(MIT OR GPL-3.0-only) AND CC-BY-4.0')).toHaveLength(1);
  });

  it('may be one of several, and more of a tool that only works on Evenfall', () => {
    expect(refused('(BSD-2-Clause OR GPL-3.0-only)')).toEqual([]);
    expect(refused('MPL-2.0')).toHaveLength(1);
    expect(refused('MPL-2.0', true)).toEqual([]);
  });
});
