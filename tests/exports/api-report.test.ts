import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { apiReport, declarationsOfLibrary, reportFile } from '../../build/declarations.ts';
import { rollUp } from '../../build/roll-up.ts';

describe('what the package exports', () => {
  it.each([...declarationsOfLibrary()])('stays as docs/api/%s.txt says it', (name, text) => {
    const kept = readFileSync(reportFile(name), 'utf8');
    expect(
      apiReport(name, text),
      `the signatures of evenfall/${name} have changed: read DEVELOPERS.md on versions, then npm run api-report`,
    ).toBe(kept);
  });

  it('is told without the words about it', () => {
    const declarations = '/** Seconds. */\ndeclare const a: 1; // one\nexport { a };\n';
    expect(apiReport('x', declarations)).toBe('evenfall/x\n\ndeclare const a: 1;\nexport { a };\n');
  });
});

describe('the roll-up of declarations', () => {
  const folder = mkdtempSync(join(tmpdir(), 'evenfall-roll-up-'));
  afterAll(() => rmSync(folder, { recursive: true }));
  const rolled = (files: Readonly<Record<string, string>>): string => {
    for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), text);
    return rollUp(join(folder, 'entry.d.ts'));
  };

  it('takes what the exports speak of, and nothing else', () => {
    const text = rolled({
      'entry.d.ts': `export { type Lamp } from './lamp.ts';`,
      'lamp.d.ts': `import type { Curve } from './curve.ts';
/** A lamp. */
export interface Lamp { readonly curve: Curve }
export interface Other { readonly curve: Curve }`,
      'curve.d.ts': `declare const table: { a: 1; 'b-c': 2 };
export type Curve = keyof typeof table;`,
    });
    expect(text).toBe(`/** A lamp. */
interface Lamp { readonly curve: Curve }
type Curve = 'a' | 'b-c';
export { Lamp };
`);
  });

  it('refuses two declarations of one name', () => {
    const files = {
      'entry.d.ts': `export { A } from './a.ts'; export { B } from './b.ts';`,
      'a.d.ts': 'interface Same {}\nexport interface A extends Same {}',
      'b.d.ts': 'interface Same {}\nexport interface B extends Same {}',
    };
    expect(() => rolled(files)).toThrow(/both .*a\.d\.ts and .*b\.d\.ts declare Same/);
  });
});
