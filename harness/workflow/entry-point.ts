import { basename } from 'node:path';
import { Worker, type WorkerOptions } from 'node:worker_threads';

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

/** Starts such a file as a worker thread; from the sources, through their loader, which a worker does not inherit. */
export function startWorker(source: string, options: WorkerOptions): Worker {
  const file = entryPoint(source);
  if (!fromSources) return new Worker(file, options);
  const loader = JSON.stringify(import.meta.resolve('tsx/esm/api'));
  const worker = JSON.stringify(file.href);
  const code = `import(${loader}).then(({ register }) => { register(); return import(${worker}); })`;
  return new Worker(code, { ...options, eval: true });
}
