import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readRun } from '../../harness/archive/read-run.ts';
import { createRunFolder, resumeRunFolder } from '../../harness/archive/run-folder.ts';
import type { ConditionRecord, Finding } from '../../harness/record/run-record.ts';
import {
  headerOf,
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';
import { scratchFolders } from './scratch.ts';

const scratch = scratchFolders();
type Chart = Finding['evidence']['charts'][number];
type Commanded = NonNullable<ConditionRecord['commanded']>;

function chartOf(x: number[], y: number[]): Chart {
  const axis = { label: 'time', unit: 's', scale: 'linear' } as const;
  const lines = [{ name: 'measured', role: 'measured' as const, x, y }];
  return {
    kind: 'waveform',
    title: 'u′v′',
    x: axis,
    y: axis,
    lines,
    marks: [{ at: 1, label: 'a' }],
  };
}

async function begun(charts: Chart[], commanded?: Commanded) {
  const condition = sampleCondition({
    ...(commanded && { commanded }),
    findings: [sampleFinding({ evidence: { charts, notes: { n: 1 } } }), sampleFinding()],
  });
  const record = sampleRecord({ specs: [sampleSpec('a', [condition])] });
  const folder = await createRunFolder(scratch(), headerOf(record));
  await folder.saveCondition('a', condition);
  return { folder, record };
}

async function sealed(charts: Chart[], commanded?: Commanded) {
  const { folder, record } = await begun(charts, commanded);
  await folder.finish(record, []);
  return { path: folder.path, record };
}

describe('charts and commanded light of a sealed run', () => {
  it('lie beside run.json, and come back as they were', async () => {
    const x = Array.from({ length: 500 }, (_, k) => k / 100);
    const charts = [chartOf(x, x.map(Math.sin)), chartOf(x, x)];
    const commanded: Commanded = [
      {
        channel: 'warm',
        segments: [
          [0, 0.1, 0, 0],
          [0.1, 1 / 3, 0, 1],
          [0.5, 2, 1, 1],
        ],
      },
      { channel: 'cool', segments: [[0, 1 / 3, 0.25, 0.25]] },
      { channel: 'red', segments: [] },
    ];
    const { path, record } = await sealed(charts, commanded);
    expect((await readRun(path)).record).toEqual(record);
    const alone = JSON.parse(readFileSync(join(path, 'run.json'), 'utf8'));
    expect(alone.specs[0].conditions[0]).not.toHaveProperty('commanded');
    expect(alone.specs[0].conditions[0].findings[0].evidence).toEqual({
      charts: [],
      notes: { n: 1 },
    });
  });

  it('come back exactly, whatever the numbers are', async () => {
    const finite = fc.double({ noNaN: true, noDefaultInfinity: true }).map((value) => value + 0);
    const decimal = fc.tuple(fc.integer(), fc.integer({ min: 0, max: 20 }));
    const rounded = decimal.map(([whole, places]) => whole / 10 ** places);
    const numbers = fc.oneof(fc.array(finite), fc.array(rounded), fc.array(fc.integer()));
    await fc.assert(
      fc.asyncProperty(numbers, numbers, async (x, y) => {
        const { path, record } = await sealed([chartOf(x, y), chartOf(y, x)]);
        expect((await readRun(path)).record).toEqual(record);
      }),
      { numRuns: 40 },
    );
  });

  it('are not read where nobody needs them', async () => {
    const { path } = await sealed([chartOf([1], [2])]);
    rmSync(join(path, 'curves.bin'));
    const { record } = await readRun(path, { curves: false });
    expect(record.specs[0]?.conditions[0]?.findings).toHaveLength(2);
  });

  it('are taken for damaged where they are of another run, of other conditions, or not whole', async () => {
    const one = await sealed([chartOf([1], [2])]);
    const file = join(one.path, 'curves.bin');
    const bytes = readFileSync(file);
    const damaged = { kind: 'damaged', message: expect.stringContaining('curves.bin') };
    for (const changed of [
      bytes.subarray(0, -2),
      Buffer.from('none'),
      Buffer.from(bytes.toString('latin1').replace(/"run":"./, '"run":"!'), 'latin1'),
    ]) {
      writeFileSync(file, changed);
      await expect(readRun(one.path)).rejects.toMatchObject(damaged);
    }
    writeFileSync(file, bytes);
    const record = JSON.parse(readFileSync(join(one.path, 'run.json'), 'utf8'));
    record.specs[0].conditions[0].findings.pop();
    writeFileSync(join(one.path, 'run.json'), JSON.stringify(record));
    await expect(readRun(one.path)).rejects.toMatchObject(damaged);
  });

  it('lie in run.json in runs of earlier versions', async () => {
    const { path, record } = await sealed([chartOf([1], [2])]);
    rmSync(join(path, 'curves.bin'));
    writeFileSync(join(path, 'run.json'), JSON.stringify(record));
    expect((await readRun(path)).record).toEqual(record);
  });
});

it('a run that was killed after its curves were written, and before its record, is resumed from the journal', async () => {
  const { folder, record } = await begun([chartOf([1], [2])]);
  const { path: other } = await sealed([chartOf([1], [2])]);
  await folder.close();
  writeFileSync(join(folder.path, 'curves.bin'), readFileSync(join(other, 'curves.bin')));
  const resumed = await resumeRunFolder(folder.path);
  expect(resumed.record.specs).toEqual(record.specs);
  await resumed.folder.finish(record, []);
  expect(existsSync(join(folder.path, 'manifest.json'))).toBe(true);
  expect((await readRun(folder.path)).record).toEqual(record);
});
