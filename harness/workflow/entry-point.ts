import { basename } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { Worker, type WorkerOptions } from 'node:worker_threads';

/** This runs from the TypeScript sources, through their loader, and not from the bundle. */
export const fromSources: boolean = import.meta.url.endsWith('.ts');

/**
 * The folder of a program that was built from these very sources, which then starts what it needs from there: a worker takes two
 * seconds of processor time to come through the loader, and tests start hundreds.
 */
const built = fromSources ? process.env['EVENFALL_PROGRAM'] : undefined;
const loads = fromSources && !built;

/**
 * A file that runs on its own, as a worker thread or a process. `source` is its path in this room without the extension;
 * the build puts it beside the program, under its base name.
 */
export function entryPoint(source: string): URL {
  if (built) return pathToFileURL(`${built}/${basename(source)}.js`);
  if (fromSources) return new URL(`./${source}.ts`, import.meta.url);
  const inChunk = import.meta.url.includes('/chunks/');
  return new URL(`${inChunk ? '..' : '.'}/${basename(source)}.js`, import.meta.url);
}

/** What Node is given to run such a file as a process: from the sources, with their loader. */
export function processArguments(source: string): readonly string[] {
  const file = fileURLToPath(entryPoint(source));
  return loads ? ['--import', import.meta.resolve('tsx'), file] : [file];
}

/** Starts such a file as a worker thread; from the sources, through their loader, which a worker does not inherit. */
export function startWorker(source: string, options: WorkerOptions): Worker {
  const file = entryPoint(source);
  if (!loads) return new Worker(file, options);
  const loader = JSON.stringify(import.meta.resolve('tsx/esm/api'));
  const worker = JSON.stringify(file.href);
  const code = `import(${loader}).then(({ register }) => { register(); return import(${worker}); })`;
  return new Worker(code, { ...options, eval: true });
}
