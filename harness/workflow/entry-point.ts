import { basename } from 'node:path';

/** This runs from the TypeScript sources, through their loader, and not from the bundle. */
export const fromSources: boolean = import.meta.url.endsWith('.ts');

/**
 * A file that runs on its own, as a worker thread or a process. `source` is its path in this room without the extension;
 * the build puts it beside the program, under its base name.
 */
export function entryPoint(source: string): URL {
  if (fromSources) return new URL(`./${source}.ts`, import.meta.url);
  const inChunk = import.meta.url.includes('/chunks/');
  return new URL(`${inChunk ? '..' : '.'}/${basename(source)}.js`, import.meta.url);
}
