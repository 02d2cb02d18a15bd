import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { SqliteDatabase } from '../../../harness/archive/sqlite.ts';
import { register as compare } from '../../../harness/cli/archive/compare.ts';
import { register as runs } from '../../../harness/cli/archive/runs.ts';
import { register as trend } from '../../../harness/cli/archive/trend.ts';
import { runCommand } from '../../cli/run-command.ts';
import { openDesk } from '../../cli/view-desk.ts';
import { sampleCondition, sampleFinding, sampleSpec } from '../../record/sample-record.ts';
import { scratchFolders } from '../scratch.ts';
import { sealedRun } from '../signed-run.ts';

const scratch = scratchFolders();
const open: { close(): Promise<void> }[] = [];
afterEach(async () => {
  for (const server of open.splice(0)) await server.close();
});

const ofValue = (value: number) => {
  const verdict = value > 2.1 ? ('fail' as const) : ('pass' as const);
  const finding = sampleFinding({ value, verdict, reason: verdict === 'pass' ? null : 'too slow' });
  return { specs: [sampleSpec('fade-on-time', [sampleCondition({ findings: [finding] })])] };
};

/** Two runs, the later of which fails; and everything that lists them, compares them or follows them over time. */
async function archive() {
  const root = scratch();
  const folders = [
    await sealedRun(root, { id: '1fa9c01b77de4a5c0b1d', ...ofValue(2.01) }),
    await sealedRun(root, {
      ...{ id: '2fa9c01b77de4a5c0b1d', startedAt: '2026-03-05T05:06:07Z', ...ofValue(3) },
      faults: [],
    }),
  ];
  const { server, ask } = await openDesk(root);
  open.push(server);
  const [a = '', b = ''] = folders.map((folder) => basename(folder));
  const metric = ['fade-duration', '--reports', root];
  const look = async () => ({
    list: await runCommand(runs, ['--reports', root]),
    listAsJson: await runCommand(runs, ['--reports', root, '--json']),
    comparison: await runCommand(compare, [a, b, '--reports', root]),
    trend: await runCommand(trend, metric),
    trendAsCsv: await runCommand(trend, [...metric, '--csv']),
    trendAsMetrics: await runCommand(trend, [...metric, '--openmetrics']),
    desk: await ask('/'),
    deskOfRun: await ask(`/runs/${b}`),
    deskOfComparison: await ask(`/compare?a=${a}&b=${b}`),
    deskOfTrend: await ask('/trend?metric=fade-duration'),
  });
  const edit = (sql: string) => {
    const index = new SqliteDatabase(join(root, 'index.sqlite'));
    index.exec(sql);
    index.close();
  };
  return { root, folders, look, edit, ask };
}

/** The parts of an answer that are shown. */
function shown(looked: Awaited<ReturnType<Awaited<ReturnType<typeof archive>>['look']>>) {
  return Object.entries(looked).map(([name, answer]) => [
    name,
    'stdout' in answer ? [answer.exitCode, answer.stdout] : [answer.status, answer.text],
  ]);
}

describe('an index that somebody edited', () => {
  it.each([
    [
      'a verdict',
      `UPDATE run SET verdict = 'pass', claims = '{"pass":1}', findings = '{"pass":1}'`,
    ],
    ['claims', `UPDATE claim SET verdict = 'pass'`],
    ['figures', `UPDATE finding SET value = 2, expanded = 0, upper = 9, verdict = 'pass'`],
    ['names', `UPDATE run SET build = '9.9.9', serial = 'X', rig = 'bench-3', simulated = 0`],
    ['units', `UPDATE series SET title = 'Nothing', unit = 'lx', shown = 'lx'`],
    ['a decision', `UPDATE run SET decision = 'release'`],
    ['what a run follows', `UPDATE run SET follows = '[{"id":"x","how":"amends"}]'`],
  ])('changes nothing that is shown: %s', async (_, sql) => {
    const { look, edit } = await archive();
    const before = shown(await look());
    expect(JSON.stringify(before)).toContain('fail');
    edit(sql);
    expect(shown(await look())).toEqual(before);
  });

  it('is mended where a list meets it', async () => {
    const { root, edit } = await archive();
    await runCommand(runs, ['--reports', root]);
    edit(`UPDATE run SET verdict = 'pass'`);
    await runCommand(runs, ['--reports', root]);
    const found = await runCommand(runs, ['--reports', root, '--verdict', 'fail']);
    expect(found.stdout).toContain('2fa9c01b');
  });
});

describe('a run that was altered after it was indexed', () => {
  async function altered() {
    const made = await archive();
    await made.look();
    const path = join(made.folders[1] ?? '', 'run.json');
    const text = readFileSync(path, 'utf8');
    writeFileSync(
      path,
      text.replaceAll('"verdict":"fail"', '"verdict":"pass"').replace('3,', '2,'),
    );
    return made;
  }

  it('has no verdict in the list, but the file that was changed', async () => {
    const { root } = await altered();
    const listed = await runCommand(runs, ['--reports', root]);
    expect(listed.exitCode).toBe(77);
    expect(listed.stdout).toMatch(/2fa9c01b .*▲ altered .*run\.json was altered/);
    expect(listed.stdout).not.toMatch(/2fa9c01b .* (pass|fail)\b/);
    const { runs: rows } = JSON.parse(
      (await runCommand(runs, ['--reports', root, '--json'])).stdout,
    );
    expect(rows[0].seal).toMatchObject({ state: 'altered', problems: [{ file: 'run.json' }] });
  });

  it('gives no point of a trend, and is named', async () => {
    const { root, ask } = await altered();
    const followed = await runCommand(trend, ['fade-duration', '--reports', root, '--csv']);
    expect(followed.exitCode).toBe(77);
    expect(followed.stderr).toMatch(/left out: .*2fa9c01b: altered since it was sealed: run\.json/);
    expect(followed.stdout).toContain('1fa9c01b');
    expect(followed.stdout).not.toContain('2fa9c01b');
    const page = (await ask('/trend?metric=fade-duration')).text;
    expect(page).toContain('altered since it was sealed: run.json');
  });

  it('is called altered on the desk: in the list, in a comparison and on its own page', async () => {
    const { folders, ask } = await altered();
    const [a = '', b = ''] = folders.map((folder) => basename(folder));
    const list = (await ask('/')).text;
    expect(list).toContain('▲ altered');
    expect(list).toContain('Altered since it was sealed: run.json was altered');
    expect((await ask(`/compare?a=${a}&b=${b}`)).text).toContain(
      'Altered since it was sealed: run',
    );
    expect((await ask(`/runs/${b}`)).text).toContain('▲ altered');
  });

  it('is found by a list where another file is gone, added or of another length', async () => {
    const { root, folders } = await archive();
    writeFileSync(join(folders[0] ?? '', 'junit.xml'), '<testsuites></testsuites>\n');
    rmSync(join(folders[1] ?? '', 'index.html'));
    const listed = await runCommand(runs, ['--reports', root]);
    expect(listed.stdout).toMatch(/1fa9c01b .*▲ altered .*junit\.xml was altered/);
    expect(listed.stdout).toMatch(/2fa9c01b .*▲ altered .*index\.html is missing/);
  });
});

describe('a run whose seal was taken away', () => {
  it('is called not sealed in the list and on the desk', async () => {
    const { root, folders, ask } = await archive();
    rmSync(join(folders[0] ?? '', 'manifest.json'));
    expect((await runCommand(runs, ['--reports', root])).stdout).toMatch(/1fa9c01b .*not sealed/);
    expect((await ask('/')).text).toMatch(/not sealed|in progress/i);
  });
});
