import { execFileSync, spawn } from 'node:child_process';
import {
  appendFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  truncateSync,
  unlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { hostname } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readCapture } from '../../harness/archive/capture-file.ts';
import { journalFile } from '../../harness/archive/journal.ts';
import { readManifest, sha256File } from '../../harness/archive/manifest.ts';
import { readRun } from '../../harness/archive/read-run.ts';
import { recordText } from '../../harness/archive/record-file.ts';
import { recoverRun } from '../../harness/archive/recover-run.ts';
import { createRunFolder, resumeRunFolder } from '../../harness/archive/run-folder.ts';
import { writerMark } from '../../harness/archive/writer-mark.ts';
import { runRecordSchema } from '../../harness/record/run-record.ts';
import {
  headerOf,
  sampleCapture,
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';
import { scratchFolders } from './scratch.ts';

const scratch = scratchFolders();
const codes = Int16Array.of(-3, 0, 7, 32767);

function twoConditions() {
  const captures = ['0000-light.npy', '0001-light.npy'].map((file) => sampleCapture({ file }));
  const conditions = captures.map((capture, index) =>
    sampleCondition({
      key: `fade-time=${index + 1} s`,
      captures: [capture],
      findings: [sampleFinding({ captures: [capture.id] })],
    }),
  );
  return { captures, conditions, record: sampleRecord({ specs: [sampleSpec('a', conditions)] }) };
}

function wrongKey(journal: string): string {
  return readFileSync(journal, 'utf8').replaceAll('± 2', '± 9');
}

async function started(root = scratch()) {
  const { captures, conditions, record } = twoConditions();
  const folder = await createRunFolder(root, headerOf(record));
  await folder.saveCapture(captures[0]!, codes);
  await folder.saveCondition('a', conditions[0]!);
  return { root, captures, conditions, record, folder };
}

async function finished() {
  const all = await started();
  await all.folder.saveCapture(all.captures[1]!, codes);
  await all.folder.saveCondition('a', all.conditions[1]!);
  await all.folder.finish(all.record, [{ name: 'junit.xml', content: '<testsuites/>\n' }]);
  return all;
}

describe('a finished run', () => {
  it('is found in a folder named for time, lamp, build and short id', async () => {
    const { root } = await finished();
    expect(readdirSync(root)).toEqual(['2026-03-04T05-06-07Z-alcove-6-1.4.2-3fa9c01b']);
  });

  it('reads back the record that was stored', async () => {
    const { folder, record } = await finished();
    expect(await readRun(folder.path)).toEqual({
      folder: folder.path,
      record,
      sealed: true,
      dropped: [],
    });
  });

  it.each<[string, (journal: string) => void]>([
    ['as it was written', () => {}],
    ['changed by somebody', (journal) => writeFileSync(journal, wrongKey(journal))],
    ['cut short', (journal) => truncateSync(journal, 200)],
    ['gone', (journal) => unlinkSync(journal)],
  ])('writes the text of the whole record, with the journal %s', async (_, meddle) => {
    const [first, second, third] = ['ΔT ± 2 °C', '🙂', 'u′v′'].map((key) =>
      sampleCondition({ key }),
    );
    const header = headerOf(sampleRecord({ specs: [sampleSpec('a', [])] }));
    const folder = await createRunFolder(scratch(), header);
    await folder.saveCondition('a', third!);
    await folder.saveCondition('a', first!);
    meddle(join(folder.path, journalFile));
    const record = sampleRecord({ specs: [sampleSpec('a', [first!, second!, third!])] });
    await folder.finish(record, []);
    const stored = readFileSync(join(folder.path, 'run.json'), 'utf8');
    expect(stored).toBe(recordText(runRecordSchema.parse(record)));
  });

  it('names every file with its size and hash in the manifest, as sha256sum finds them', async () => {
    const { folder } = await finished();
    const manifest = await readManifest(folder.path);
    expect(manifest?.files.map(({ file }) => file)).toEqual([
      'captures/0000-light.json',
      'captures/0000-light.npy',
      'captures/0001-light.json',
      'captures/0001-light.npy',
      'curves.bin',
      'junit.xml',
      'run.json',
    ]);
    for (const { file, bytes, sha256 } of manifest!.files) {
      expect(readFileSync(join(folder.path, file)).length).toBe(bytes);
      const other = execFileSync('sha256sum', [join(folder.path, file)], { encoding: 'utf8' });
      expect(other.slice(0, 64)).toBe(sha256);
      expect(await sha256File(join(folder.path, file))).toBe(sha256);
    }
  });

  it('keeps no journal and no half-written file', async () => {
    const { folder } = await finished();
    expect(existsSync(join(folder.path, journalFile))).toBe(false);
    expect(execFileSync('find', [folder.path, '-name', '*.part'], { encoding: 'utf8' })).toBe('');
  });

  it('gives back codes, scale, offset and time base of a capture', async () => {
    const { folder } = await finished();
    const capture = await readCapture(folder.path, '0001-light.npy');
    expect([...capture.codes]).toEqual([...codes]);
    expect(capture).toMatchObject({ dt_s: 5e-5, t0_s: 0, unit: 'lx', scale: 0.25, offset: -1 });
  });

  it.each([
    ['int16', Int16Array.of(-32768, 5)],
    ['int32', Int32Array.of(-2147483648, 5)],
    ['float32', Float32Array.of(-0.5, 5)],
  ])('stores %s codes so that they come back bit for bit', async (_, exact) => {
    const { folder } = await started();
    await folder.saveCapture(sampleCapture({ file: 'x.npy', samples: 2 }), exact);
    const { codes: back } = await readCapture(folder.path, 'x.npy');
    expect(back).toEqual(exact);
    await folder.close();
  });

  it('takes nothing more', async () => {
    const { folder, conditions, captures } = await finished();
    await expect(folder.saveCondition('a', conditions[0]!)).rejects.toThrow(/closed/);
    await expect(folder.saveCapture(captures[0]!, codes)).rejects.toThrow(/closed/);
    await expect(resumeRunFolder(folder.path)).rejects.toThrow(/complete/);
  });
});

describe('a run that was cut off', () => {
  it('says unfinished in run.json from its first moment', async () => {
    const { folder } = await started();
    const onDisk = JSON.parse(readFileSync(join(folder.path, 'run.json'), 'utf8'));
    expect(onDisk.ended).toBe('unfinished');
    await folder.close();
  });

  it('is rebuilt from header and journal, with a verdict of what was measured', async () => {
    const { folder, conditions } = await started();
    await folder.close();
    const { record, sealed } = await readRun(folder.path);
    expect(sealed).toBe(false);
    expect(record.ended).toBe('unfinished');
    expect(record.specs[0]!.conditions).toEqual([conditions[0]]);
    expect(record.totals.findings['pass']).toBe(1);
  });

  it('loses only the line that was being written', async () => {
    const { folder } = await started();
    await folder.close();
    appendFileSync(join(folder.path, journalFile), '{"journal":1,"spec":"a","condi');
    const { finished, dropped } = await recoverRun(folder.path);
    expect([...finished]).toEqual(['a\tfade-time=1 s\t0']);
    expect(dropped).toHaveLength(1);
  });

  it('leaves out a condition whose capture is not what was written', async () => {
    const { folder } = await started();
    await folder.close();
    const file = join(folder.path, 'captures/0000-light.npy');
    const bytes = readFileSync(file);
    bytes[130]! ^= 1;
    writeFileSync(file, bytes);
    const { finished, dropped } = await recoverRun(folder.path);
    expect(finished.size).toBe(0);
    expect(dropped.join()).toContain('captures/0000-light.npy is not what was written');
  });

  it('goes on where it stopped, and ends complete', async () => {
    const { folder: first, record, captures, conditions } = await started();
    await first.close();
    appendFileSync(join(first.path, journalFile), '{"torn');
    writeFileSync(join(first.path, 'captures/0001-light.npy'), 'a capture without its condition');
    writeFileSync(join(first.path, 'run.json.part'), '{');
    const { folder } = await resumeRunFolder(first.path);
    expect([...folder.finished]).toEqual(['a\tfade-time=1 s\t0']);
    await folder.saveCapture(captures[1]!, codes);
    await folder.saveCondition('a', conditions[1]!);
    const manifest = await folder.finish(record, []);
    expect(manifest.files.map(({ file }) => file)).toContain('captures/0000-light.npy');
    expect((await readRun(folder.path)).record).toEqual(record);
  });

  it('is not gone on with while its writer lives', async () => {
    const { folder } = await started();
    await expect(resumeRunFolder(folder.path)).rejects.toMatchObject({ kind: 'busy' });
    await folder.close();
    const other = spawn('sleep', ['60']);
    writeFileSync(join(folder.path, writerMark), `${other.pid} ${hostname()}`);
    const attempt = resumeRunFolder(folder.path);
    await expect(attempt).rejects.toThrow(`the process ${other.pid} is still writing`);
    other.kill('SIGKILL');
    await new Promise((resolve) => other.on('close', resolve));
    const resumed = await resumeRunFolder(folder.path);
    await resumed.folder.close();
    expect(existsSync(join(folder.path, writerMark))).toBe(false);
  });

  it('loses no capture when it was killed between its journal and its seal, however often', async () => {
    const { folder, record } = await finished();
    execFileSync('rm', [join(folder.path, 'manifest.json')]);
    for (let time = 0; time < 2; time++) {
      const { folder: again } = await resumeRunFolder(folder.path);
      expect(again.finished.size).toBe(2);
      await again.close();
    }
    const { folder: last } = await resumeRunFolder(folder.path);
    const { files } = await last.finish(record, []);
    expect(files.map(({ file }) => file)).toContain('captures/0001-light.npy');
    expect((await readCapture(folder.path, '0000-light.npy')).codes).toEqual(codes);
    expect((await readRun(folder.path)).record).toEqual(record);
  });

  it('leaves a condition out whose capture was harmed, also where only the seal is missing', async () => {
    const { folder } = await finished();
    execFileSync('rm', [join(folder.path, 'manifest.json')]);
    appendFileSync(join(folder.path, 'captures/0000-light.npy'), 'x');
    writeFileSync(join(folder.path, 'captures/0001-light.json'), '{}');
    const { finished: left, dropped } = await recoverRun(folder.path);
    expect(left.size).toBe(0);
    expect(dropped).toHaveLength(2);
  });

  it('knows the whole record when only the seal is missing', async () => {
    const { folder, record } = await finished();
    execFileSync('rm', [join(folder.path, 'manifest.json')]);
    const back = await readRun(folder.path);
    expect(back.sealed).toBe(false);
    expect(back.record.ended).toBe('unfinished');
    expect(back.record.specs).toEqual(record.specs);
  });
});

describe('what cannot be stored', () => {
  it('two runs under one name', async () => {
    const { root, record, folder } = await started();
    await folder.close();
    await expect(createRunFolder(root, headerOf(record))).rejects.toMatchObject({ kind: 'exists' });
  });

  it('a run where a file stands in the way', async () => {
    const root = join(scratch(), 'file');
    writeFileSync(root, '');
    const attempt = createRunFolder(root, headerOf(sampleRecord()));
    await expect(attempt).rejects.toMatchObject({
      kind: expect.stringMatching(/not-writable|exists/),
      message: expect.stringContaining(root),
    });
  });

  it.each([
    '../run.json',
    '/etc/x.npy',
    'a\\b.npy',
    '.hidden.npy',
    'a\nb.npy',
    'x.npy.part',
    'x.wav',
  ])('a capture named %j', async (file) => {
    const { folder } = await started();
    await expect(folder.saveCapture(sampleCapture({ file }), codes)).rejects.toMatchObject({
      kind: 'bad-name',
    });
    await folder.close();
  });

  it('a capture twice', async () => {
    const { folder, captures } = await started();
    await expect(folder.saveCapture(captures[0]!, codes)).rejects.toMatchObject({ kind: 'exists' });
    await folder.close();
  });

  it('a condition before its capture, of an unknown spec, or with a figure that is not finite', async () => {
    const { folder, conditions } = await started();
    await expect(folder.saveCondition('a', conditions[1]!)).rejects.toThrow(/not saved before/);
    await expect(folder.saveCondition('b', sampleCondition())).rejects.toThrow(/no spec b/);
    const nan = sampleCondition({ findings: [sampleFinding({ value: Number.NaN })] });
    await expect(folder.saveCondition('a', nan)).rejects.toThrow(/findings\.0\.outcome\.value/);
    await folder.close();
  });
});

describe('a record to be sealed', () => {
  it('is refused for a condition that was not stored before and carries no figure', async () => {
    const { folder, record, conditions } = await started();
    const nan = sampleCondition({ key: 'x', findings: [sampleFinding({ value: Number.NaN })] });
    const wrong = { ...record, specs: [sampleSpec('a', [conditions[0]!, nan])] };
    await expect(folder.finish(wrong, [])).rejects.toThrow(/findings\.0\.outcome\.value/);
    await folder.close();
  });
});

describe('a figure that JSON cannot hold', () => {
  it('does not cost the run where it only explains', async () => {
    const outcome = {
      measured: false,
      reason: 'too-slow',
      found: Number.POSITIVE_INFINITY,
    } as const;
    const condition = sampleCondition({ findings: [sampleFinding({ outcome, verdict: 'error' })] });
    const record = sampleRecord({ specs: [sampleSpec('a', [condition])] });
    const folder = await createRunFolder(scratch(), headerOf(record));
    await folder.saveCondition('a', condition);
    expect((await recoverRun(folder.path)).finished.size).toBe(1);
    await folder.finish(record, []);
    const { specs } = (await readRun(folder.path)).record;
    expect(specs[0]!.conditions[0]!.findings[0]!.outcome).toEqual({
      measured: false,
      reason: 'too-slow',
    });
  });
});

describe('reading a record that is wrong', () => {
  const broken = async (change: (record: ReturnType<typeof sampleRecord>) => void) => {
    const { folder } = await finished();
    const path = join(folder.path, 'run.json');
    const record = JSON.parse(readFileSync(path, 'utf8'));
    change(record);
    writeFileSync(path, JSON.stringify(record));
    return readRun(folder.path);
  };

  it('says where', async () => {
    const attempt = broken((record) =>
      Object.assign(record.specs[0]!.conditions[1]!.findings[0]!, { verdict: 'ok' }),
    );
    await expect(attempt).rejects.toThrow(/specs\[0\]\.conditions\[1\]\.findings\[0\]\.verdict/);
  });

  it('refuses a newer version in words', async () => {
    const attempt = broken((record) => Object.assign(record, { version: 3 }));
    await expect(attempt).rejects.toMatchObject({
      kind: 'newer',
      message: expect.stringContaining('version 3 of the run record is newer than version 2'),
    });
  });

  it('refuses a folder that holds no run', async () => {
    await expect(readRun(scratch())).rejects.toMatchObject({ kind: 'not-found' });
  });
});

it('removes what a killed process left aside, but not what one may be making now', async () => {
  const root = scratch();
  const [old, fresh] = ['aaaa0123', 'bbbb0123'].map((id) =>
    join(root, `.2026-03-04T05-06-07Z-alcove-6-1.4.2-${id}.part`),
  );
  for (const path of [old!, fresh!]) mkdirSync(join(path, 'captures'), { recursive: true });
  const hourAgo = new Date(Date.now() - 3_600_000);
  utimesSync(old!, hourAgo, hourAgo);
  const folder = await createRunFolder(root, headerOf(sampleRecord()));
  await folder.close();
  expect([existsSync(old!), existsSync(fresh!)]).toEqual([false, true]);
});
