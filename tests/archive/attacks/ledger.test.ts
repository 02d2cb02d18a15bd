import { spawn } from 'node:child_process';
import {
  appendFileSync,
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { hostname } from 'node:os';
import { basename, dirname, join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { withFileLock } from '../../../harness/archive/file-lock.ts';
import { ledgerBeside, readLedger } from '../../../harness/archive/ledger.ts';
import { signRun } from '../../../harness/archive/sign-run.ts';
import type { Decision } from '../../../harness/archive/statement.ts';
import { verifyAgainstLedger } from '../../../harness/archive/verify-against-ledger.ts';
import { register as runs } from '../../../harness/cli/archive/runs.ts';
import { register as verify } from '../../../harness/cli/release/verify.ts';
import { runCommand } from '../../cli/run-command.ts';
import { openDesk } from '../../cli/view-desk.ts';
import { scratchFolders } from '../scratch.ts';
import { newPerson, sealedRun } from '../signed-run.ts';

const scratch = scratchFolders();
const open: { close(): unknown }[] = [];
afterEach(async () => {
  for (const one of open.splice(0)) await one.close();
});

const mira = newPerson('Mira');
const otto = newPerson('Otto');
const trusted = [mira.public, otto.public];

/** Signs as the commands do: into the ledger of the archive. */
function decide(folder: string, person: typeof mira, decision: Decision, ledger?: string) {
  return signRun(folder, {
    ...{ key: person.key, name: person.name, meaning: 'approval', decision, waivers: [] },
    ...{ signedAt: '2026-03-05T08:00:00Z', ledger: ledger ?? ledgerBeside(folder) },
  });
}

/** A run that Mira released and Otto rejected afterwards. */
async function rejectedRun() {
  const root = join(scratch(), 'reports');
  const folder = await sealedRun(root);
  await decide(folder, mira, 'release');
  const rejection = await decide(folder, otto, 'reject');
  const remove = () => {
    rmSync(join(folder, rejection));
    rmSync(join(folder, rejection.replace('.release.', '.test-result.')));
  };
  return { root, folder, ledger: ledgerBeside(folder), rejection, remove };
}

const textOf = ({ problems }: { problems: readonly { file: string; text: string }[] }): string =>
  problems.map(({ file, text }) => `${file} ${text}`).join('\n');

describe('a rejection that is deleted', () => {
  const told =
    /signoffs\/02-otto\.release\.dsse\.json:? is missing: it was deleted after it was entered in line 2 of the ledger/;

  it('is noticed by verify, although what is left is sound', async () => {
    const { folder, remove } = await rejectedRun();
    expect(await verifyAgainstLedger(folder, trusted)).toMatchObject({
      decision: 'rejected',
      problems: [],
    });
    remove();
    const verified = await verifyAgainstLedger(folder, trusted);
    expect(verified).toMatchObject({ accepted: false, decision: 'refused' });
    expect(textOf(verified)).toMatch(told);
  });

  it('is noticed by the command, the list and the pages; and the run is not pruned', async () => {
    const { root, folder, remove } = await rejectedRun();
    writeFileSync(join(root, '../mira.pub.pem'), mira.publicPem);
    await runCommand(runs, ['--reports', root]);
    remove();
    const key = ['--public', join(root, '../mira.pub.pem')];
    const checked = await runCommand(verify, [folder, ...key]);
    expect(checked).toMatchObject({ exitCode: 77, stdout: expect.stringMatching(told) });
    expect((await runCommand(runs, ['--reports', root])).stdout).toContain(
      '▲ a decision was deleted',
    );
    rmSync(join(folder, 'signoffs'), { recursive: true });
    const pruned = await runCommand(runs, ['--reports', root, '--prune', '--keep', '0', '--yes']);
    expect(pruned.stderr).toContain('Removed 0 runs');
    expect(existsSync(folder)).toBe(true);
    const desk = await openDesk(root, { publicFiles: [join(root, '../mira.pub.pem')] });
    open.push(desk.server);
    expect((await desk.ask('/')).text).toContain('a decision was deleted');
  });

  it('is noticed on the page of the run', async () => {
    const { root, folder, remove } = await rejectedRun();
    remove();
    writeFileSync(join(root, '../mira.pub.pem'), mira.publicPem);
    const desk = await openDesk(root, { publicFiles: [join(root, '../mira.pub.pem')] });
    open.push(desk.server);
    const { text } = await desk.ask(`/runs/${basename(folder)}`);
    expect(text).toContain('deleted after it was entered');
    expect(text).not.toContain('● released');
  });

  it('lets nobody sign on', async () => {
    const { folder, remove } = await rejectedRun();
    remove();
    await expect(decide(folder, mira, 'release')).rejects.toThrow(told);
    expect(readdirSync(join(folder, 'signoffs'))).toHaveLength(2);
  });

  it('is noticed where another sign-off takes its name', async () => {
    const { folder, rejection } = await rejectedRun();
    const path = join(folder, rejection);
    writeFileSync(path, `${readFileSync(path, 'utf8')} `);
    expect(textOf(await verifyAgainstLedger(folder, trusted))).toContain(
      'is not the sign-off in line 2',
    );
  });
});

describe('a whole run', () => {
  it('is not taken for another that is sealed and signed in its place', async () => {
    const { folder, ledger } = await rejectedRun();
    const aside = scratch();
    const other = await sealedRun(aside, { seed: 2 });
    await decide(other, mira, 'release');
    expect(basename(other)).toBe(basename(folder));
    rmSync(folder, { recursive: true });
    cpSync(other, folder, { recursive: true });
    const verified = await verifyAgainstLedger(folder, trusted);
    expect(verified.accepted).toBe(false);
    expect(textOf(verified)).toMatch(
      /manifest\.json is not the one that was signed: line 1 of the ledger/,
    );
    // Without the ledger nothing is wrong with it, and it is said what cannot be known.
    rmSync(ledger);
    expect(await verifyAgainstLedger(folder, trusted)).toMatchObject({
      decision: 'released',
      notes: [expect.stringContaining('nothing proves that no later decision was deleted')],
    });
  });
});

describe('a ledger of decisions', () => {
  it('has a line for every sign-off, each bound to the line before', async () => {
    const { ledger, folder } = await rejectedRun();
    const lines = readFileSync(ledger, 'utf8')
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line));
    expect(lines).toMatchObject([
      { ledger: 1, number: 1, signoff: 'signoffs/01-mira.release.dsse.json', before: null },
      { ledger: 1, number: 2, signoff: 'signoffs/02-otto.release.dsse.json', run: lines[0].run },
    ]);
    expect(lines[1].before).toMatch(/^[0-9a-f]{64}$/);
    const { ledger: shown } = await verifyAgainstLedger(folder, trusted);
    expect(shown).toMatchObject({ file: ledger, lines: 2, head: (await readLedger(ledger))?.head });
  });

  it.each([
    ['changed', (text: string) => text.replace('"number":1', '"number":3')],
    ['taken out', (text: string) => text.slice(text.indexOf('\n') + 1)],
    ['put in', (text: string) => text.slice(0, text.indexOf('\n') + 1) + text],
    ['no line at all', (text: string) => `${text}nothing\n`],
    ['spelled otherwise', (text: string) => text.replace('{"ledger"', '{ "ledger"')],
  ])('is refused with a line that was %s, by verify and by sign', async (_, change) => {
    const { folder, ledger } = await rejectedRun();
    writeFileSync(ledger, change(readFileSync(ledger, 'utf8')));
    const verified = await verifyAgainstLedger(folder, trusted);
    expect(verified.decision).toBe('refused');
    expect(textOf(verified)).toMatch(/line \d (does not follow from|is no line of|is spelled)/);
    await expect(decide(folder, mira, 'release')).rejects.toThrow(/line \d/);
  });

  it('has to be there, and know the run, where it is asked for', async () => {
    const { root, folder } = await rejectedRun();
    const elsewhere = join(scratch(), 'ledger.ndjson');
    writeFileSync(join(root, '../mira.pub.pem'), mira.publicPem);
    const asked = () =>
      runCommand(verify, [
        folder,
        '--public',
        join(root, '../mira.pub.pem'),
        '--ledger',
        elsewhere,
      ]);
    expect((await asked()).stdout).toContain(
      'there is no ledger of decisions here, and it was asked for',
    );
    writeFileSync(elsewhere, '');
    expect((await asked()).stdout).toMatch(/has no line of signoffs\/01-mira.*02-otto/);
  });

  it('kept elsewhere tells what the one in the archive no longer does', async () => {
    const { folder, ledger, remove } = await rejectedRun();
    const elsewhere = join(scratch(), 'kept.ndjson');
    cpSync(ledger, elsewhere);
    remove();
    const [first] = readFileSync(ledger, 'utf8').split('\n');
    writeFileSync(ledger, `${first}\n`);
    // Both were cut off together: this ledger alone cannot know.
    expect((await verifyAgainstLedger(folder, trusted)).decision).toBe('released');
    const held = await verifyAgainstLedger(folder, trusted, { ledger: elsewhere });
    expect(textOf(held)).toContain('was deleted after it was entered in line 2');
  });

  it.each(['a link', 'a folder'])('is refused as %s', async (kind) => {
    const { folder, ledger } = await rejectedRun();
    renameSync(ledger, `${ledger}.old`);
    if (kind === 'a link') symlinkSync(`${ledger}.old`, ledger);
    else mkdirSync(ledger);
    await expect(verifyAgainstLedger(folder, trusted)).rejects.toThrow(
      /expected a file at .*found a (symbolic link|folder)/,
    );
    await expect(decide(folder, mira, 'release')).rejects.toThrow(/expected a file/);
  });
});

describe('a signing that is cut off', () => {
  it('after the sign-off and before its line: the next one enters both', async () => {
    const { folder, ledger } = await rejectedRun();
    const [first] = readFileSync(ledger, 'utf8').split('\n');
    writeFileSync(ledger, `${first}\n`);
    const between = await verifyAgainstLedger(folder, trusted);
    expect(between).toMatchObject({ decision: 'rejected', problems: [] });
    expect(between.notes.join()).toContain('has no line of signoffs/02-otto.release.dsse.json');
    await decide(folder, otto, 'hold');
    expect((await readLedger(ledger))?.entries.map(({ number }) => number)).toEqual([1, 2, 3]);
    expect((await verifyAgainstLedger(folder, trusted)).notes).toEqual([]);
  });

  it('in the middle of a line: the half line counts for nothing, and goes', async () => {
    const { folder, ledger } = await rejectedRun();
    truncateSync(ledger, readFileSync(ledger).length - 20);
    const torn = await verifyAgainstLedger(folder, trusted);
    expect(torn.problems).toEqual([]);
    expect(torn.notes.join()).toContain('its last line was cut off while it was written');
    await decide(folder, mira, 'release');
    const mended = await readLedger(ledger);
    expect(mended).toMatchObject({ torn: false, problem: null });
    expect(mended?.entries.map(({ number }) => number)).toEqual([1, 2, 3]);
  });

  it('leaves a lock that the next one takes over, and one that is held is waited for', async () => {
    const { folder, ledger } = await rejectedRun();
    const dead = spawn('true');
    await new Promise((done) => dead.on('close', done));
    writeFileSync(`${ledger}.lock`, `${dead.pid} ${hostname()} x`);
    await decide(folder, mira, 'release');
    expect(existsSync(`${ledger}.lock`)).toBe(false);
    let done = false;
    const held = withFileLock(`${ledger}.lock`, async () => {
      await new Promise((resolve) => setTimeout(resolve, 200));
      done = true;
    });
    await decide(folder, mira, 'release');
    expect(done).toBe(true);
    await held;
  });
});

it('many who sign at once sign one after another, and every line follows from the one before', async () => {
  const root = join(scratch(), 'reports');
  const folder = await sealedRun(root);
  const other = await sealedRun(root, { id: 'aaaa0123bbbb4567cccc' });
  const people = Array.from({ length: 6 }, (_, index) => newPerson(`P${index}`));
  await Promise.all(
    people.flatMap((one) => [decide(folder, one, 'hold'), decide(other, one, 'hold')]),
  );
  const ledger = await readLedger(ledgerBeside(folder));
  expect(ledger).toMatchObject({ problem: null, torn: false });
  for (const run of [folder, other]) {
    const numbers = readdirSync(join(run, 'signoffs')).filter((name) => name.includes('.release.'));
    expect(numbers.map((name) => Number.parseInt(name, 10)).sort()).toEqual([1, 2, 3, 4, 5, 6]);
    const keys = people.map((one) => one.public);
    expect(await verifyAgainstLedger(run, keys)).toMatchObject({ decision: 'on hold', notes: [] });
  }
  expect(readdirSync(dirname(folder)).filter((name) => name.includes('.lock'))).toEqual([]);
});

it('a sign-off that cannot be entered is not made', async () => {
  const folder = await sealedRun(join(scratch(), 'reports'));
  const nowhere = join(scratch(), 'none', 'ledger.ndjson');
  await expect(decide(folder, mira, 'release', nowhere)).rejects.toThrow(/making the lock/);
  expect(existsSync(join(folder, 'signoffs'))).toBe(false);
  const full = join(scratch(), 'ledger.ndjson');
  symlinkSync('/dev/full', full);
  await expect(decide(folder, mira, 'release', full)).rejects.toThrow();
  expect(existsSync(join(folder, 'signoffs'))).toBe(false);
  appendFileSync(join(folder, 'index.html'), '');
});
