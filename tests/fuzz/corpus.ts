import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

const folder = join(import.meta.dirname, 'corpus');

/** Inputs on which a reader once failed. */
export function corpusOf(reader: string): readonly Uint8Array[] {
  const own = join(folder, reader);
  if (!existsSync(own)) return [];
  return readdirSync(own)
    .sort()
    .map((file) => readFileSync(join(own, file)));
}

/** Keeps an input; returns its file. */
export function addToCorpus(reader: string, input: Uint8Array): string {
  const own = join(folder, reader);
  mkdirSync(own, { recursive: true });
  const file = join(own, createHash('sha256').update(input).digest('hex').slice(0, 12));
  writeFileSync(file, input);
  return file;
}
