import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll } from 'vitest';
import { specsFolder } from '../spec-language/shipped-lamp.ts';

/** Writes variations of shipped lamp files; they are removed after the tests of the file. Returns where each is. */
export function variedLamps(): (name: string, from: string | RegExp, to: string) => string {
  const folder = mkdtempSync(join(tmpdir(), 'evenfall-lamps-'));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  let count = 0;
  return (name, from, to) => {
    const text = readFileSync(join(specsFolder, 'lamps', `${name}.lamp.yaml`), 'utf8');
    const varied = text.replaceAll(from, to);
    if (varied === text) throw new Error(`nothing of ${name} was changed`);
    const file = join(folder, `${++count}.lamp.yaml`);
    writeFileSync(file, varied);
    return file;
  };
}
