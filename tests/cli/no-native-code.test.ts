import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { evenfall } from './program.ts';

const folder = mkdtempSync(join(tmpdir(), 'evenfall-native-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** What the process had loaded when it ended, threads included, as Node's own diagnostic report lists it. */
const listed = join(folder, 'loaded.txt');
const watcher = join(folder, 'watch.cjs');
writeFileSync(
  watcher,
  `if (require('node:worker_threads').isMainThread) process.on('exit', () =>
     require('node:fs').writeFileSync(${JSON.stringify(listed)}, process.report.getReport().sharedObjects.join('\\n')));`,
);

async function nativeCodeOf(...args: readonly string[]) {
  const { exitCode, stderr } = await evenfall(args, {
    cwd: folder,
    env: { NODE_OPTIONS: `--require ${watcher}` },
  });
  const loaded = readFileSync(listed, 'utf8').split('\n');
  return { exitCode, stderr, native: loaded.filter((file) => file.endsWith('.node')) };
}

it('runs a spec against the simulated lamp without native code, which the list of runs alone loads', async () => {
  const spec = resolve(import.meta.dirname, '../../specs/dimming/dark-when-off.spec.yaml');
  const run = await nativeCodeOf('run', spec);
  expect(run).toMatchObject({ exitCode: 0, native: [] });
  // Which shows that the report would have told.
  const runs = await nativeCodeOf('runs');
  expect(runs).toMatchObject({ exitCode: 0, native: [expect.stringContaining('sqlite')] });
}, 120_000);
