import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { register as compare } from '../../../harness/cli/archive/compare.ts';
import { register as exportRun } from '../../../harness/cli/archive/export.ts';
import { register as report } from '../../../harness/cli/archive/report.ts';
import type { Register } from '../../../harness/cli/common/io.ts';
import { renderReleaseReport } from '../../../harness/report/pages/release/release-report.ts';
import { runCommand } from '../../cli/run-command.ts';
import {
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../../record/sample-record.ts';
import { scratchFolders } from '../scratch.ts';
import { newPerson, sealedRun, signedRun } from '../signed-run.ts';

const scratch = scratchFolders();

/** Turns a failure into a pass, in every place that says so. */
function forge(folder: string): void {
  const path = join(folder, 'run.json');
  const text = readFileSync(path, 'utf8');
  writeFileSync(
    path,
    text
      .replaceAll('"verdict":"fail"', '"verdict":"pass"')
      .replaceAll('"fail":1', '"pass":1')
      .replace('"value":3', '"value":2'),
  );
}

const failed = {
  specs: [
    sampleSpec('fade-on-time', [
      sampleCondition({
        findings: [sampleFinding({ value: 3, verdict: 'fail', reason: 'too slow' })],
      }),
    ]),
  ],
};

/** Every output of one stored run: what it says, wherever it says it. */
const outputs: readonly [string, Register, readonly string[]][] = [
  ['the summary', report, []],
  ['the page', report, ['--format', 'html']],
  ['JUnit', report, ['--format', 'junit']],
  ['extended JUnit', report, ['--format', 'junit-extended']],
  ['Markdown', report, ['--format', 'markdown']],
  ['annotations', report, ['--format', 'annotations']],
  ['JSON', report, ['--format', 'json']],
  ['the export', exportRun, ['--format', 'csv']],
];
/** Formats of other programs, which have no place for a remark of ours. */
const plainFormats = ['JSON', 'the export'];

describe('a run whose record was changed from fail to pass', () => {
  it.each(outputs)('is called altered, with the file, by %s', async (name, command, args) => {
    const folder = await sealedRun(scratch(), failed);
    const before = await runCommand(command, [folder, ...args]);
    expect(before.exitCode).toBe(0);
    expect(before.stdout + before.stderr).not.toMatch(/altered since/i);
    forge(folder);
    const after = await runCommand(command, [folder, ...args]);
    expect(after.exitCode).toBe(77);
    expect(after.stderr).toMatch(/altered since it was sealed: run\.json was altered/);
    if (plainFormats.includes(name)) return;
    expect(after.stdout).toMatch(/altered since it was sealed: run\.json was\s+altered/i);
  });

  it('has a case in error in JUnit: nothing there looks like a pass', async () => {
    const folder = await sealedRun(scratch(), failed);
    forge(folder);
    const { stdout } = await runCommand(report, [folder, '--format', 'junit']);
    expect(stdout).toContain('errors="1"');
    expect(stdout).toMatch(/<error [^>]*type="seal"/);
  });

  it('is called altered in a comparison, and cannot prove that all is well', async () => {
    const root = scratch();
    const folder = await sealedRun(root, failed);
    const earlier = await sealedRun(root, { id: '1fa9c01b77de4a5c0b1d' });
    forge(folder);
    const page = join(root, 'compare.html');
    const compared = await runCommand(compare, [
      ...[earlier, folder, '--reports', root, '--page', page],
    ]);
    expect(compared.exitCode).toBe(77);
    expect(compared.stdout).toMatch(/^B .*▲ altered since it was sealed:\s+run\.json/m);
    expect(readFileSync(page, 'utf8')).toContain('Altered since it was sealed: run.json');
    const json = await runCommand(compare, [earlier, folder, '--reports', root, '--json']);
    expect(JSON.parse(json.stdout).b.warning).toContain('altered since it was sealed');
    expect(JSON.parse(json.stdout).a.warning).toBeNull();
  });

  it('is not judged again', async () => {
    const folder = await sealedRun(scratch(), failed);
    forge(folder);
    const again = await runCommand(report, [folder, '--rejudge']);
    expect(again).toMatchObject({ exitCode: 77, stderr: expect.stringContaining('run.json') });
  });

  it('is refused where its record cannot even be read', async () => {
    const folder = await sealedRun(scratch());
    writeFileSync(join(folder, 'run.json'), '{');
    const read = await runCommand(report, [folder]);
    expect(read.exitCode).toBe(77);
    expect(read.stderr).toContain('altered since it was sealed: run.json was altered');
  });
});

describe('a run with another file changed', () => {
  it.each(outputs)('is called altered, too, by %s', async (_, command, args) => {
    const folder = await sealedRun(scratch());
    writeFileSync(join(folder, 'junit.xml'), '<testsuites></testsuites>\n');
    rmSync(join(folder, 'index.html'));
    const { exitCode, stderr } = await runCommand(command, [folder, ...args]);
    expect(exitCode).toBe(77);
    expect(stderr).toContain('index.html is missing; junit.xml was altered');
  });
});

describe('a run whose seal was taken away', () => {
  it.each(outputs)('is called not sealed by %s', async (name, command, args) => {
    const folder = await sealedRun(scratch());
    rmSync(join(folder, 'manifest.json'));
    const { stdout, stderr } = await runCommand(command, [folder, ...args]);
    expect(stderr).toContain('not sealed: the run has not ended, or its seal was removed');
    if (!plainFormats.includes(name)) expect(stdout).toMatch(/not sealed/i);
  });
});

describe('the printed report', () => {
  const source = {
    ...{ record: sampleRecord(), contentHash: 'ab'.repeat(32), issuedAt: '2026-03-06T00:00:00Z' },
    signatures: [
      {
        ...{ name: 'Mira', signedAt: '2026-03-05T08:00:00Z', meaning: 'approval' },
        ...{ decision: 'release', key: 'cd'.repeat(32), waivers: [] },
      },
    ],
    doubts: [],
  };
  const cover = (html: string) => /<header class="cover">.*?<\/header>/s.exec(html)?.[0] ?? '';

  it('says on its cover that a run was altered, and prints no decision on it', () => {
    expect(cover(renderReleaseReport(source))).toContain('Decision: release, by Mira');
    const warned = cover(
      renderReleaseReport({ ...source, warning: 'altered since it was sealed: run.json' }),
    );
    expect(warned).toContain('Altered since it was sealed: run.json');
    expect(warned).toContain('Decision: not verified');
    expect(warned).not.toContain('by Mira');
  });

  it('prints what the policy decides, and not what one signature says', () => {
    const policy = {
      name: 'releases',
      version: 3,
      decision: 'undecided',
      unmet: ['missing: test'],
    };
    const html = renderReleaseReport({ ...source, policy });
    expect(cover(html)).toContain('Decision: undecided, by the policy releases, version 3');
    expect(html).toContain('Policy: missing: test');
  });

  it('ends with 77 where the run was altered, and where a signature is of nobody trusted prints none', async () => {
    const { folder } = await signedRun(scratch());
    const out = join(scratch(), 'r.pdf');
    const stranger = join(scratch(), 'eve.pub.pem');
    writeFileSync(stranger, newPerson('Eve').publicPem);
    const args = [folder, '--format', 'pdf', '--out', out];
    expect((await runCommand(report, [...args, '--public', stranger])).exitCode).toBe(0);
    writeFileSync(join(folder, 'junit.xml'), '<testsuites></testsuites>\n');
    expect((await runCommand(report, args)).exitCode).toBe(77);
  });
});
