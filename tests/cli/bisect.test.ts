import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { register as create } from '../../harness/cli/authoring/new.ts';
import { mainFile } from './program.ts';
import { runCommand } from './run-command.ts';

const patience = 600_000;

let cwd: string;
beforeAll(() => {
  cwd = mkdtempSync(join(tmpdir(), 'evenfall-bisect-'));
});
afterAll(() => rmSync(cwd, { recursive: true, force: true }));

function git(...args: readonly string[]): string {
  const who = ['-c', 'user.name=Halden', '-c', 'user.email=firmware@halden.invalid'];
  const { PATH = '' } = process.env;
  const env = { PATH, HOME: cwd, EVENFALL_OLD_NODE: '1', GIT_CONFIG_NOSYSTEM: '1' };
  return execFileSync('git', [...who, ...args], { cwd, env, encoding: 'utf8', stdio: 'pipe' });
}

/** The recipe as docs/firmware.md has it, with the program that is under test. */
function recipe(): string {
  const docs = readFileSync('docs/firmware.md', 'utf8');
  const [, text] = /```sh bisect\.sh\n(.*?)```/s.exec(docs) ?? [];
  if (!text?.includes('npx evenfall')) throw new Error('docs/firmware.md has no bisect.sh');
  return text.replace('npx evenfall', `'${process.execPath}' '${mainFile}'`);
}

it(
  'finds the commit of ten that broke a fade, past two that do not build',
  async () => {
    const made = await runCommand(create, ['firmware', 'one', '--folder', '.'], { cwd });
    expect(made.exitCode, made.stderr).toBe(0);
    writeFileSync(join(cwd, '.gitignore'), 'bisect.sh\nreports/\nfirmware/build/\n');
    writeFileSync(join(cwd, 'bisect.sh'), recipe());
    const file = join(cwd, 'firmware/light.c');
    const first = readFileSync(file, 'utf8');
    git('init', '--quiet');
    const commits = Array.from({ length: 10 }, (_, number) => {
      const slow =
        number >= 6 ? first.replace('milliseconds * 1000', 'milliseconds * 1200') : first;
      const torn = number === 4 || number === 5 ? '\n#error not finished\n' : '';
      writeFileSync(file, `${slow}${torn}/* ${number} */\n`);
      git('add', '--all');
      git('commit', '--quiet', '--message', `Change ${number}`);
      return git('rev-parse', 'HEAD').trim();
    });
    expect(first).toContain('milliseconds * 1000');
    git('bisect', 'start', commits[9] ?? '', commits[0] ?? '');
    // Where the commits before the first bad one cannot be judged, git names all of them and ends with 2.
    let said: string;
    try {
      said = git('bisect', 'run', 'sh', 'bisect.sh');
    } catch (error) {
      said = String((error as { stdout?: unknown }).stdout);
    }
    expect(said).toContain(commits[6]);
    expect(said).toMatch(/first '?bad'? commit could be any of|is the first bad commit/);
    for (const number of [3, 7, 8, 9])
      expect(said.split('could be any of')[1] ?? '').not.toContain(commits[number]);
  },
  patience,
);
