import { execFileSync, spawnSync } from 'node:child_process';
import {
  cpSync,
  existsSync,
  linkSync,
  mkdirSync,
  renameSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { createServer, type Server } from 'node:net';
import { basename, dirname, join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { findRunFolder } from '../../../harness/archive/find-run-folder.ts';
import { createRunFolder, resumeRunFolder } from '../../../harness/archive/run-folder.ts';
import { verifyRun } from '../../../harness/archive/verify-run.ts';
import { register as compare } from '../../../harness/cli/archive/compare.ts';
import { register as exportRun } from '../../../harness/cli/archive/export.ts';
import { register as report } from '../../../harness/cli/archive/report.ts';
import { register as runs } from '../../../harness/cli/archive/runs.ts';
import { register as trend } from '../../../harness/cli/archive/trend.ts';
import { register as sign } from '../../../harness/cli/release/sign.ts';
import { register as verify } from '../../../harness/cli/release/verify.ts';
import { runCommand } from '../../cli/run-command.ts';
import { openDesk } from '../../cli/view-desk.ts';
import { headerOf, sampleRecord, sampleSpec } from '../../record/sample-record.ts';
import { scratchFolders } from '../scratch.ts';
import { passphrase, sealedRun, signedRun } from '../signed-run.ts';

const scratch = scratchFolders();
const open: { close(): unknown }[] = [];
afterEach(async () => {
  for (const one of open.splice(0)) await one.close();
});

/** Device files are made by root alone. */
const canMakeDevices =
  spawnSync('sh', ['-c', 'd=$(mktemp -d) && mknod "$d/null" c 1 3; e=$?; rm -r "$d"; exit $e'])
    .status === 0;

/** What can be put at a path, whatever lay there. */
const foreign: Readonly<Record<string, (path: string) => void | Promise<void>>> = {
  'a symbolic link': (path) => {
    const elsewhere = join(scratch(), 'elsewhere');
    if (existsSync(path)) renameSync(path, elsewhere);
    else writeFileSync(elsewhere, 'x');
    symlinkSync(elsewhere, path);
  },
  'a symbolic link to nothing': (path) => {
    rmSync(path, { recursive: true, force: true });
    symlinkSync('/nowhere/at/all', path);
  },
  'a named pipe': (path) => {
    rmSync(path, { recursive: true, force: true });
    execFileSync('mkfifo', [path]);
  },
  'a socket': async (path) => {
    rmSync(path, { recursive: true, force: true });
    // A path of a socket has 107 bytes at most.
    const short = join(scratch(), 's');
    const server: Server = createServer();
    await new Promise<void>((done) => server.listen(short, done));
    open.push(server);
    renameSync(short, path);
  },
  ...(canMakeDevices && {
    'a device': (path: string) => {
      rmSync(path, { recursive: true, force: true });
      execFileSync('mknod', [path, 'c', '1', '5']);
    },
  }),
};
const kinds = Object.keys(foreign);

const places = [
  'run.json',
  'manifest.json',
  'captures',
  'captures/0000-light.npy',
  'captures/0000-light.json',
  'captures/more.npy',
  'signoffs',
  'signoffs/01-mira.release.dsse.json',
  'signoffs/02-otto.release.dsse.json',
  'signoffs/note.part',
  'more',
];

describe.each(kinds)('%s in a signed run', (kind) => {
  const word = kind.replace(/^an? /, '').replace(/ to nothing$/, '');

  it.each(places)('is named and refused, and neither followed nor opened, as %s', async (place) => {
    const { folder, mira } = await signedRun(scratch());
    await foreign[kind]!(join(folder, place));
    const verified = await verifyRun(folder, [mira.public]);
    expect(verified).toMatchObject({ accepted: false, decision: 'refused' });
    expect(verified.problems.map(({ file, text }) => `${file} ${text}`).join('\n')).toMatch(
      new RegExp(`${place.replaceAll('.', '\\.')}.* a ${word}`),
    );
  });

  it.each(['run.json', 'captures/0000-light.npy', 'signoffs', 'writer.lock'])(
    'stops no command where it lies as %s',
    async (place) => {
      const { folder, root, commands } = await archiveWith(place, kind);
      for (const [name, command] of commands) {
        const { stdout, stderr, exitCode } = await command();
        expect([name, exitCode]).not.toEqual([name, 70]);
        expect([name, stdout + stderr]).not.toEqual([name, '']);
      }
      const desk = await openDesk(root);
      open.push(desk.server);
      const paths = [
        '/',
        '/sign-off',
        `/runs/${basename(folder)}`,
        `/runs/${basename(folder)}/sign`,
      ];
      for (const path of [...paths, `/runs/${basename(folder)}/page`]) {
        const { status } = await desk.ask(path);
        expect([path, status]).not.toEqual([path, 500]);
      }
    },
  );

  it('is refused where a run is resumed', async () => {
    const root = scratch();
    const record = sampleRecord({ specs: [sampleSpec('a', [])] });
    const { path, close } = await unfinished(root, record);
    await close();
    await foreign[kind]!(join(path, 'captures/0001-light.npy'));
    await expect(resumeRunFolder(path)).rejects.toThrow(
      `found captures/0001-light.npy (${word}); remove what is no file`,
    );
  });
});

async function unfinished(root: string, record: ReturnType<typeof sampleRecord>) {
  const folder = await createRunFolder(root, headerOf(record));
  return { path: folder.path, close: () => folder.close() };
}

/** A healthy run and a signed one with something at `place`, and every command that reads runs. */
async function archiveWith(place: string, kind: string) {
  const root = join(scratch(), 'reports');
  const healthy = await sealedRun(root, { id: 'aaaa0123bbbb4567cccc' });
  const { folder, mira } = await signedRun(root);
  const key = join(dirname(root), 'mira.pem');
  const out = join(dirname(root), 'out');
  writeFileSync(key, await mira.privatePem(), { mode: 0o600 });
  writeFileSync(`${key}.pub`, mira.publicPem);
  await foreign[kind]!(join(folder, place));
  const env = { EVENFALL_PASSPHRASE: passphrase };
  const all: Readonly<Record<string, () => ReturnType<typeof runCommand>>> = {
    verify: () => runCommand(verify, [folder, '--public', `${key}.pub`]),
    report: () => runCommand(report, [folder]),
    page: () => runCommand(report, [folder, '--format', 'html', '--out', out]),
    export: () => runCommand(exportRun, [folder, '--captures', '--out', `${out}-captures`]),
    runs: () => runCommand(runs, ['--reports', root, '--rebuild']),
    list: () => runCommand(runs, ['--reports', root]),
    compare: () => runCommand(compare, [healthy, folder, '--reports', root]),
    trend: () => runCommand(trend, ['fade-duration', '--reports', root]),
    prune: () => runCommand(runs, ['--reports', root, '--prune', '--keep', '1', '--yes']),
    sign: () =>
      runCommand(
        sign,
        [folder, '--key', key, '--as', 'Mira', '--meaning', 'x', '--decision', 'hold'],
        { env },
      ),
  };
  return { root, folder, commands: Object.entries(all) };
}

describe('a folder in a signed run', () => {
  it.each(['more', 'captures/more', 'more/and/more'])(
    'is refused where it is empty: %s',
    async (place) => {
      const { folder, mira } = await signedRun(scratch());
      mkdirSync(join(folder, place), { recursive: true });
      const { problems, accepted } = await verifyRun(folder, [mira.public]);
      expect(accepted).toBe(false);
      expect(problems).toEqual([
        { file: place, text: 'is an empty folder, which no run contains; remove it' },
      ]);
    },
  );

  it.each(['manifest.json', 'run.json', 'signoffs/more'])('is refused as %s', async (place) => {
    const { folder, mira } = await signedRun(scratch());
    rmSync(join(folder, place), { force: true });
    mkdirSync(join(folder, place));
    const { problems } = await verifyRun(folder, [mira.public]);
    expect(problems.map(({ file, text }) => `${file} ${text}`).join('\n')).toMatch(
      new RegExp(`${place}.* folder`),
    );
  });
});

it('a hard link is a file like any other', async () => {
  const { folder, mira } = await signedRun(scratch());
  linkSync(join(folder, 'junit.xml'), join(scratch(), 'junit.xml'));
  expect(await verifyRun(folder, [mira.public])).toMatchObject({ decision: 'released' });
});

it('what a signing that was cut off left behind is named', async () => {
  const { folder, mira } = await signedRun(scratch());
  const file = 'signoffs/02-otto.release.dsse.json.part';
  writeFileSync(join(folder, file), 'x');
  const { problems } = await verifyRun(folder, [mira.public]);
  expect(problems).toMatchObject([{ file, text: expect.stringContaining('was cut off') }]);
});

describe("a run under another run's name", () => {
  /** A failed run, and a released one that was put in its place. */
  async function swapped() {
    const root = join(scratch(), 'reports');
    const bad = await sealedRun(root, { id: 'bad00000bbbb4567cccc', verdict: 'pass' });
    const { folder, mira } = await signedRun(root);
    rmSync(bad, { recursive: true });
    cpSync(folder, bad, { recursive: true });
    return { root, bad, good: folder, mira };
  }
  const told =
    /holds run 3fa9c01b77de4a5c0b1d, whose folder is called .*-3fa9c01b: it was copied or renamed/;

  it('is refused by verify, and by whatever reads it', async () => {
    const { root, bad, mira } = await swapped();
    const verified = await verifyRun(bad, [mira.public]);
    expect(verified).toMatchObject({ accepted: false, decision: 'refused' });
    expect(verified.problems[0]?.text).toMatch(told);
    const shown = await runCommand(report, ['bad00000', '--reports', root]);
    expect(shown).toMatchObject({ exitCode: 65, stderr: expect.stringMatching(told) });
    const list = await runCommand(runs, ['--reports', root]);
    expect(list.stderr).toMatch(told);
    expect(list.stdout).toContain('3fa9c01b');
    expect(list.stdout).not.toContain('bad00000');
  });

  it('is refused as a link to the other', async () => {
    const { bad, good, mira } = await swapped();
    rmSync(bad, { recursive: true });
    symlinkSync(good, bad);
    expect((await verifyRun(bad, [mira.public])).problems[0]?.text).toMatch(told);
  });

  it('may be called as one likes where the name is that of no run', async () => {
    const { good, mira } = await swapped();
    const copy = join(scratch(), 'to be checked');
    cpSync(good, copy, { recursive: true });
    expect(await verifyRun(copy, [mira.public])).toMatchObject({ decision: 'released' });
  });
});

describe('the words for a run', () => {
  const start = process.cwd();
  afterEach(() => process.chdir(start));

  /** An archive with one run; the working directory has a folder of another under `name`. */
  async function withFolder(name: string) {
    const root = join(scratch(), 'reports');
    const stored = await sealedRun(root, { id: 'aaaa0123bbbb4567cccc' });
    const cwd = scratch();
    cpSync(await sealedRun(scratch(), { id: 'eeee0123bbbb4567cccc' }), join(cwd, name), {
      recursive: true,
    });
    process.chdir(cwd);
    return { root, stored, cwd };
  }

  it.each(['latest', 'aaaa0123', 'aaaa', 'aaaa0123bbbb4567cccc'])(
    'are refused where they fit a run and a folder here: %s',
    async (text) => {
      const { root, stored, cwd } = await withFolder(text);
      await expect(findRunFolder(root, text)).rejects.toThrow(
        `"${text}" is a run in ${root} (${basename(stored)}) and a folder of a run here; write ./${text} for the folder`,
      );
      expect(await findRunFolder(root, `./${text}`)).toBe(join(cwd, text));
      expect(await findRunFolder(root, stored)).toBe(stored);
    },
  );

  it('mean the archive where a mere file or an empty folder here has the name', async () => {
    const { root, stored } = await withFolder('other');
    writeFileSync('aaaa0123', 'x');
    mkdirSync('latest');
    expect(await findRunFolder(root, 'aaaa0123')).toBe(stored);
    expect(await findRunFolder(root, 'latest')).toBe(stored);
  });

  it('mean a folder here where the archive has no such run', async () => {
    const { root, cwd } = await withFolder('other');
    expect(await findRunFolder(root, 'other')).toBe(join(cwd, 'other'));
  });

  it('mean the archive where the working directory is the archive', async () => {
    const { root, stored } = await withFolder('other');
    process.chdir(root);
    expect(await findRunFolder('.', basename(stored))).toBe(basename(stored));
  });

  it('mean a whole id, not one that begins alike', async () => {
    const { root, stored } = await withFolder('other');
    await expect(findRunFolder(root, 'aaaa0123ffff')).rejects.toThrow('none called "aaaa0123ffff"');
    expect(await findRunFolder(root, 'aaaa0123bbbb45')).toBe(stored);
  });

  it('mean a path alone where there is a slash', async () => {
    const { root } = await withFolder('other');
    await expect(findRunFolder(root, './aaaa0123')).rejects.toThrow(
      'expected a folder of a stored run at ./aaaa0123, found no run.json',
    );
  });

  it('find a signed run by its folder, with a slash at its end', async () => {
    const { folder } = await signedRun(scratch());
    expect(await findRunFolder('none', `${folder}/`)).toBe(folder);
  });
});
