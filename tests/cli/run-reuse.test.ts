import { cpSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { checkSeal } from '../../harness/archive/check-seal.ts';
import { sha256 } from '../../harness/archive/manifest.ts';
import { signRun } from '../../harness/archive/sign-run.ts';
import { verifyRun } from '../../harness/archive/verify-run.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { newPerson } from '../archive/signed-run.ts';
import { evenfall } from './program.ts';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

const holds = dimmingSpec('holds', ['50 %', '20 %']);
const lamp = readFileSync(
  join(import.meta.dirname, '../../specs/lamps/alcove-6.lamp.yaml'),
  'utf8',
);
const rig = readFileSync(join(import.meta.dirname, '../../specs/rigs/simulated.rig.yaml'), 'utf8');
const files = { 'specs/holds.spec.yaml': holds, 'a.lamp.yaml': lamp, 'a.rig.yaml': rig };
const on = ['--lamp', 'a.lamp.yaml', '--rig', 'a.rig.yaml'];

let cwd: string;
beforeAll(async () => {
  cwd = desk(files);
  const { exitCode, stderr } = await evenfall(['run', ...on], { cwd });
  expect(exitCode, stderr).toBe(0);
});

/** A desk of its own with the run that was stored. */
function copy(): string {
  const own = desk({});
  cpSync(cwd, own, { recursive: true });
  return own;
}

/** The record of a run that reuses what it can, and its folder. */
async function again(at: string, ...words: string[]) {
  const before = new Set(runsIn(at));
  const { exitCode, stdout, stderr } = await evenfall(['run', ...on, '--reuse', ...words], {
    cwd: at,
  });
  expect(exitCode, stderr).toBe(0);
  const folder = runsIn(at).find((one) => !before.has(one))!;
  return { folder, record: recordIn(folder), stdout };
}

/** What is wrong with a run, but that nobody signed it. */
async function problemsOf(folder: string) {
  return (await verifyRun(folder, [])).problems.filter(({ file }) => file !== 'signoffs');
}

function taken({ specs }: RunRecord): number {
  return specs.flatMap(({ conditions }) => conditions).filter((one) => one.takenFrom).length;
}

describe('run --reuse, where nothing has changed', () => {
  it('takes all results from the earlier run, and says from which', async () => {
    const at = copy();
    const [first] = runsIn(at);
    const { id, startedAt, specs } = recordIn(first!);
    const { folder, record, stdout } = await again(at);
    expect(taken(record)).toBe(2);
    const conditions = record.specs[0]!.conditions.map(({ takenFrom, ...condition }) => {
      expect(takenFrom).toEqual({ run: id, startedAt });
      return condition;
    });
    expect(conditions).toEqual(specs[0]!.conditions);
    const said = new RegExp(`2 conditions were\\s+not run: .*${id}`, 's');
    expect(stdout).toMatch(said);
    for (const format of ['summary', 'junit', 'markdown', 'annotations']) {
      const report = await evenfall(['report', folder, '--format', format], { cwd: at });
      expect(report.stdout, format).toMatch(said);
    }
    expect(readFileSync(join(folder, 'index.html'), 'utf8')).toMatch(said);
  });

  it('names the run that measured, where that one had taken its results as well', async () => {
    const at = copy();
    const { id } = recordIn(runsIn(at)[0]!);
    await again(at);
    rmSync(runsIn(at)[0]!, { recursive: true });
    const { record } = await again(at);
    expect(record.specs[0]!.conditions.map(({ takenFrom }) => takenFrom?.run)).toEqual([id, id]);
  });

  it('stores a folder that stands alone: sealed, with captures of its own', async () => {
    const at = copy();
    const { folder } = await again(at);
    const captures = readdirSync(join(runsIn(at)[0]!, 'captures')).map((name) =>
      readFileSync(join(runsIn(at)[0]!, 'captures', name)),
    );
    rmSync(runsIn(at)[0]!, { recursive: true });
    expect((await checkSeal(folder)).state).toBe('sealed');
    expect(await problemsOf(folder)).toEqual([]);
    const own = readdirSync(join(folder, 'captures')).map((name) =>
      readFileSync(join(folder, 'captures', name)),
    );
    expect(own).toEqual(captures);
  });

  it('measures what is new, and takes the rest', async () => {
    const at = copy();
    writeFileSync(join(at, 'specs/a-first.spec.yaml'), dimmingSpec('a-first', ['30 %']));
    const { folder, record } = await again(at);
    expect(record.specs.map(({ conditions }) => conditions.map((one) => !!one.takenFrom))).toEqual([
      [false],
      [true, true],
    ]);
    expect(await problemsOf(folder)).toEqual([]);
  });

  it('is signed by nobody', async () => {
    const { folder } = await again(copy());
    const { key } = newPerson('Mira');
    for (const decision of ['release', 'hold'] as const) {
      const request = { key, name: 'Mira', meaning: 'approval', decision, waivers: [] };
      const signing = signRun(folder, { ...request, signedAt: new Date().toISOString() });
      await expect(signing).rejects.toThrow(/2 conditions were not run.*without --reuse/);
    }
  });
});

describe('run --reuse, where one byte has changed', () => {
  const changed = (at: string, file: string, from: RegExp, to: string) => {
    const text = readFileSync(join(at, file), 'utf8');
    expect(text).toMatch(from);
    writeFileSync(join(at, file), text.replace(from, to));
  };

  it.each([
    ['the spec', (at: string) => changed(at, 'specs/holds.spec.yaml', /$/, '#'), []],
    ['the lamp file', (at: string) => changed(at, 'a.lamp.yaml', /$/, '#'), []],
    ['the rig file', (at: string) => changed(at, 'a.rig.yaml', /$/, '#'), []],
    ['the seed', () => {}, ['--seed', '2']],
    [
      'the program that measured',
      (at: string) =>
        reseal(at, (record) => ({
          ...record,
          harness: { ...record.harness, code: 'f'.repeat(64) },
        })),
      [],
    ],
    [
      'the firmware that was measured',
      (at: string) =>
        reseal(at, (record) => {
          const firmware = { ...record.lamp.firmware, digest: 'f'.repeat(64) };
          return { ...record, lamp: { ...record.lamp, firmware } };
        }),
      [],
    ],
    [
      'a fault that was seeded',
      (at: string) => reseal(at, (record) => ({ ...record, faults: [{ fault: 'x', size: 1 }] })),
      [],
    ],
    [
      'an instrument that was real',
      (at: string) =>
        reseal(at, (record) => ({ ...record, rig: { ...record.rig, simulated: false } })),
      [],
    ],
    [
      'a capture of the earlier run',
      (at: string) => {
        const folder = join(runsIn(at)[0]!, 'captures');
        const file = join(folder, readdirSync(folder)[0]!);
        const bytes = readFileSync(file);
        bytes[bytes.length - 1] = (bytes.at(-1) as number) ^ 1;
        writeFileSync(file, bytes);
      },
      [],
    ],
  ] as const)('%s: everything is measured', async (_, change, words) => {
    const at = copy();
    change(at);
    expect(taken((await again(at, ...words)).record)).toBe(0);
  });

  it('takes nothing unless it is asked to', async () => {
    const at = copy();
    await evenfall(['run', ...on], { cwd: at });
    expect(runsIn(at).map((folder) => taken(recordIn(folder)))).toEqual([0, 0]);
  });

  it('is refused with --resume, and where nothing is stored', async () => {
    for (const words of [['--resume', 'latest'], ['--watch']]) {
      const refused = await evenfall(['run', ...on, '--reuse', ...words], { cwd });
      expect(refused).toMatchObject({ exitCode: 64, stderr: expect.stringContaining('--reuse') });
    }
  });
});

/** Changes the record of the stored run and seals it anew. */
function reseal(at: string, change: (record: RunRecord) => RunRecord): void {
  const folder = runsIn(at)[0]!;
  const text = JSON.stringify(change(JSON.parse(readFileSync(join(folder, 'run.json'), 'utf8'))));
  writeFileSync(join(folder, 'run.json'), `${text}\n`);
  const manifest = JSON.parse(readFileSync(join(folder, 'manifest.json'), 'utf8'));
  const bytes = readFileSync(join(folder, 'run.json'));
  const files = manifest.files.map((one: { file: string }) =>
    one.file === 'run.json' ? { ...one, bytes: bytes.length, sha256: sha256(bytes) } : one,
  );
  writeFileSync(join(folder, 'manifest.json'), JSON.stringify({ ...manifest, files }));
}
