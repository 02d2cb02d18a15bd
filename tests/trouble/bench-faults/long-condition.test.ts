import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { openRig } from '../../../drivers/open-rig.ts';
import { decodeNpy } from '../../../harness/files/npy.ts';
import type { ConditionTask } from '../../../harness/run/engine/lane.ts';
import { readSpec } from '../../../harness/spec-language/spec-file.ts';
import { RigLane } from '../../../harness/workflow/lanes/rig-lane.ts';
import { PieceStore } from '../../../harness/workflow/running/piece-store.ts';
import { lamp } from '../../drivers/conformance/shipped-bench.ts';
import { openTestEmulation, rigFor } from '../../drivers/emulate/open-test-bench.ts';

const folder = mkdtempSync(join(tmpdir(), 'evenfall-pieces-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** A soak in small: a record at its beginning, readings all along, a record at its end. */
const text = `spec: soak
claim: The light stays where it is.
stimulus:
  - set: { level: 50 %, mix: all }
  - hold: 300 ms
  - mark: early
  - hold: 300 ms
  - mark: waiting
  - hold: 5 s
  - mark: late
  - hold: 300 ms
capture:
  - { signal: light, of: light, rate: 10 kHz, during: early }
  - { signal: light, of: light, rate: 10 kHz, during: late }
  - { signal: colour, of: lamp, integration: 20 ms, every: 200 ms, during: waiting }
criteria:
  - { metric: modulation, of: light, during: early, at-most: 90 % }
  - { metric: modulation, of: light, during: late, at-most: 90 % }
`;

async function soak(longerThan: number, abortAfter?: number) {
  const read = readSpec(text, { file: 'x', folder: 'x', digest: '0'.repeat(64), lamp });
  if (!('plan' in read)) throw new Error(read.issues.map(({ message }) => message).join('\n'));
  const [condition] = read.plan.conditions;
  if (!condition) throw new Error('expected a condition');
  const emulation = await openTestEmulation();
  try {
    const rig = rigFor(emulation);
    const to = { rig, lamp, folder: resolve('specs/rigs') };
    const pieces = new PieceStore(longerThan);
    const own = mkdtempSync(join(folder, 'run-'));
    pieces.into(own);
    const lane = new RigLane(to, await openRig(to), new Map(), {
      keeperOf: (task) => pieces.keeperOf(task),
    });
    const task: ConditionTask = {
      ...{ spec: 'soak', condition, position: 7, repeat: 0, lamp, rig },
      ...{ seed: 1, lampSeed: 1, faults: [] },
    };
    const abort = new AbortController();
    if (abortAfter !== undefined) setTimeout(() => abort.abort(), abortAfter);
    const result = await lane.execute(task, abort.signal);
    await lane.safe();
    await lane.close();
    const place = join(own, 'pieces', '0007-soak');
    return { ...result, pieces, place };
  } finally {
    await emulation.close();
  }
}

it('leaves the records and readings of a long condition that never ended', async () => {
  const { condition, place } = await soak(1, 9500);
  expect(condition.verdict).toBe('not run');
  const [npy = ''] = readdirSync(place).filter((name) => name.endsWith('.npy'));
  const record = decodeNpy(readFileSync(join(place, npy)));
  const side = JSON.parse(readFileSync(join(place, npy.replace('.npy', '.json')), 'utf8'));
  expect(side).toMatchObject({ spec: 'soak', signal: 'light', unit: 'lx', dt_s: 1e-4 });
  expect(JSON.stringify(record)).not.toBe('{}');
  const lines = readFileSync(join(place, 'readings.ndjson'), 'utf8').trim().split('\n');
  expect(lines.length).toBeGreaterThan(3);
  expect(JSON.parse(lines.at(-1) ?? '')).toMatchObject({ of: 'lamp', state: 'good' });
  const said = readFileSync(join(place, 'bench.ndjson'), 'utf8').trim().split('\n');
  expect(said.length).toBeGreaterThan(3);
  const [first, last] = [said[0], said.at(-1)].map((line) => JSON.parse(line ?? ''));
  expect(first).toMatchObject({ instrument: 'supply', volts: 48, on: true });
  expect(first.at).toBeLessThanOrEqual(0);
  expect(last.at).toBeGreaterThan(2);
});

it('leaves none of one that came to its end, once its result is stored', async () => {
  const { condition, captures, pieces, place } = await soak(1);
  expect(existsSync(place)).toBe(true);
  await pieces.listener({ event: 'condition-ended', spec: 'soak', condition, captures });
  expect(existsSync(place)).toBe(condition.verdict === 'error');
});

it('keeps nothing of a short one', async () => {
  const { place } = await soak(600);
  expect(existsSync(place)).toBe(false);
});
