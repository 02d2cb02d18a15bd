import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { createRunFolder } from '../../harness/archive/run-folder.ts';
import { register } from '../../harness/cli/archive/report.ts';
import { exitCodes } from '../../harness/cli/common/exit-codes.ts';
import { conditionSchema, runRecordSchema } from '../../harness/record/run-record.ts';
import { renderJunit } from '../../harness/report/exchange/junit.ts';
import { unpacked } from '../../harness/report/html/packed.ts';
import type { PageEvidence } from '../../harness/report/pages/run/page-data.ts';
import { renderMarkdown } from '../../harness/report/text/markdown.ts';
import { renderSummary } from '../../harness/report/text/summary.ts';
import { shortRecord } from '../report/sample-record.ts';
import { runCommand } from './run-command.ts';

const root = mkdtempSync(join(tmpdir(), 'evenfall-report-'));
const record = { ...shortRecord(), id: 'a1b2c3d4e5f60718293a' };
let folder: string;

beforeAll(async () => {
  folder = await store(record);
});

afterAll(() => rmSync(root, { recursive: true, force: true }));

describe('a stored run', () => {
  test('is the summary on stdout when nothing else is asked for', async () => {
    const { exitCode, stdout, stderr } = await report('a1b2');
    expect(exitCode).toBe(0);
    expect(stdout).toBe(renderSummary(record, { colour: false, columns: 100 }));
    expect(stderr).toBe('');
  });

  test('gives each text format on stdout', async () => {
    expect((await report('latest', '--format', 'junit')).stdout).toBe(
      renderJunit(record, 'strict'),
    );
    expect((await report('latest', '--format', 'junit-extended')).stdout).toBe(
      renderJunit(record, 'extended'),
    );
    expect((await report('latest', '--format', 'markdown')).stdout).toBe(renderMarkdown(record));
    expect((await report('latest', '--format', 'annotations')).stdout).toMatch(/^::error file=/);
    expect(
      runRecordSchema.parse(JSON.parse((await report('latest', '--format', 'json')).stdout)),
    ).toEqual(record);
  });

  test('is found by its path as well', async () => {
    expect((await report(folder)).stdout).toContain('run a1b2c3d4e5f60718293a');
  });

  test('is a page with the traces of its captures', async () => {
    const out = join(root, 'page.html');
    const { stdout, stderr } = await report('latest', '--format', 'html', '--out', out);
    expect(stdout).toBe('');
    expect(stderr).toBe(`written: ${out}\n`);
    const data = /id="evidence">([\s\S]*?)<\/script>/.exec(readFileSync(out, 'utf8'))?.[1] ?? '';
    const { traces } = unpacked<PageEvidence>(data);
    expect(Object.keys(traces)).toHaveLength(captures().length);
    // Codes 0, 1, 2, 3 at scale 1/10000.
    expect(traces[captures()[0]!.file]!.min).toEqual([0, 0.0001, 0.0002, 0.0003]);
  });

  test('is a PDF with pages, made by the real browser', async () => {
    const out = join(root, 'run.pdf');
    const { exitCode, stderr } = await report('latest', '--format', 'pdf', '--out', out);
    expect(stderr).toBe(`written: ${out}\n`);
    expect(exitCode).toBe(0);
    const pdf = readFileSync(out, 'latin1');
    expect(pdf.startsWith('%PDF-')).toBe(true);
    expect(pdf.match(/\/Type \/Page\b/g)!.length).toBeGreaterThan(2);
    expect(pdf).toContain('/Title');
  });
});

describe('what cannot be done gets a sentence', () => {
  test('no such run', async () => {
    const { exitCode, stderr } = await report('ffff');
    expect(exitCode).toBe(exitCodes.noInput);
    expect(stderr).toContain('found none called "ffff"');
  });

  test('a record that is no record', async () => {
    const broken = await store({
      ...record,
      id: 'ffff000011112222',
      startedAt: '2026-11-25T18:03:12.250Z',
    });
    writeFileSync(join(broken, 'run.json'), '{"format":');
    const { exitCode, stderr } = await report(broken);
    expect(exitCode).toBe(exitCodes.refused);
    expect(stderr).toContain('run.json');
    rmSync(broken, { recursive: true });
  });

  test('a capture that is gone leaves the page whole, and is named', async () => {
    const hurt = await store({
      ...record,
      id: 'eeee000011112222',
      startedAt: '2026-11-25T18:03:12.250Z',
    });
    const { file } = captures()[0]!;
    rmSync(join(hurt, 'captures', file));
    const { exitCode, stdout, stderr } = await report(hurt, '--format', 'html');
    expect(exitCode).toBe(exitCodes.refused);
    expect(stderr).toContain(`without the capture ${file}`);
    expect(stdout).toContain('</html>');
    rmSync(hurt, { recursive: true });
  });

  test('an output that cannot be written', async () => {
    const { exitCode, stderr } = await report(
      'latest',
      '--out',
      join(root, 'no', 'such', 'folder.txt'),
    );
    expect(exitCode).toBe(exitCodes.cannotCreate);
    expect(stderr).toContain('choose another place with --out');
  });

  test('specs beside a run that is not to be judged again', async () => {
    const { exitCode, stderr } = await report('latest', '--specs', 'specs');
    expect(exitCode).toBe(exitCodes.usage);
    expect(stderr).toContain('--specs is for --rejudge: add --rejudge, or leave it out');
  });

  test('a format that there is not', async () => {
    const { exitCode, stderr } = await report('latest', '--format', 'docx');
    expect(exitCode).toBe(exitCodes.usage);
    expect(stderr).toContain('expected one of summary, html, junit');
    expect(stderr).toContain('found "docx"');
  });

  test('a PDF without a browser: what to install', async () => {
    const env = { CHROMIUM_PATH: join(root, 'no-browser') };
    const { exitCode, stderr } = await runCommand(
      register,
      ['latest', '--reports', root, '--format', 'pdf', '--out', join(root, 'x.pdf')],
      { env },
    );
    expect(exitCode).toBe(exitCodes.unreachable);
    expect(stderr).toContain('install it (apt-get install chromium) or set CHROMIUM_PATH');
    expect(() => statSync(join(root, 'x.pdf'))).toThrow();
  });
});

function report(...args: string[]) {
  return runCommand(register, [...args, '--reports', root]);
}

function captures() {
  return record.specs.flatMap(({ conditions }) =>
    conditions.flatMap((condition) => condition.captures),
  );
}

/** The record as a run would have stored it, with captures of four samples. */
async function store(run: typeof record): Promise<string> {
  const header = { ...run, specs: run.specs.map((spec) => ({ ...spec, conditions: [] })) };
  const stored = await createRunFolder(root, header);
  for (const { spec, conditions } of run.specs) {
    for (const condition of conditions) {
      for (const capture of condition.captures) {
        capture.samples = 4;
        await stored.saveCapture(capture, Int16Array.of(0, 1, 2, 3));
      }
      await stored.saveCondition(spec, conditionSchema.parse(condition));
    }
  }
  await stored.finish(run, []);
  return stored.path;
}
