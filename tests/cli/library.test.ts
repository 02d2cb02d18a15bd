import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { register as create } from '../../harness/cli/authoring/new.ts';
import { register as library } from '../../harness/cli/library/library.ts';
import { harnessVersion } from '../../harness/workflow/version.ts';
import { runCommand } from './run-command.ts';

const shipped = (path: string): string =>
  readFileSync(join(import.meta.dirname, '../../specs', path), 'utf8');
const fade = 'fading/fades-on-time.spec.yaml';

let fresh: string;
beforeAll(async () => {
  fresh = mkdtempSync(join(tmpdir(), 'evenfall-library-'));
  await runCommand(create, ['project', '--no-firmware', '--ci', 'none'], { cwd: fresh });
}, 600_000);
afterAll(() => rmSync(fresh, { recursive: true, force: true }));

let cwd: string;
beforeEach(() => {
  cwd = mkdtempSync(join(tmpdir(), 'evenfall-library-'));
  cpSync(fresh, cwd, { recursive: true });
});
afterEach(() => rmSync(cwd, { recursive: true, force: true }));

const copy = (path: string): string => join(cwd, 'specs', path);
const text = (path: string): string => readFileSync(copy(path), 'utf8');
const call = (...args: readonly string[]) => runCommand(library, args, { cwd });

/** The project was made from an earlier library, in which this file had another text; `mine` is what the user made of it. */
function madeEarlier(path: string, base: string, mine = base): void {
  const [now, then] = [harnessVersion, '0.0.9'].map((version) =>
    copy(`.library/${version}/${path}`),
  );
  mkdirSync(dirname(then ?? ''), { recursive: true });
  renameSync(now ?? '', then ?? '');
  writeFileSync(then ?? '', base);
  writeFileSync(copy(path), mine);
}

/** The spec as an earlier library may have had it. */
const older = shipped(fade).replace(/^claim: .*$/m, 'claim: It fades.');
const changedTail = (own: string): string => `${own.trimEnd()}\n# ours\n`;

describe('evenfall library', () => {
  it('has nothing to take right after new project', async () => {
    const { exitCode, stdout } = await call('diff');
    expect(exitCode).toBe(0);
    expect(stdout).toMatch(/^\d+ files as in library .*, 0 files to take or to decide\n$/);
  });

  it('takes what changed in the library alone, and says from which version', async () => {
    madeEarlier(fade, older);
    const { exitCode, stdout } = await call('diff');
    expect(exitCode).toBe(1);
    expect(stdout).toContain(`${fade}: changed from 0.0.9 to ${harnessVersion}; unchanged here\n`);
    expect(stdout).toMatch(
      /^ {2}@ line 1\n(?: {3}.*\n)*? {2}-claim: It fades\.\n {2}\+claim: A fade takes/m,
    );
    expect((await call('update')).stdout).toContain(
      `${fade} (from 0.0.9): taken from the library\n`,
    );
    expect(text(fade)).toBe(shipped(fade));
    expect(existsSync(copy(`.library/0.0.9/${fade}`))).toBe(false);
    expect(text(`.library/${harnessVersion}/${fade}`)).toBe(shipped(fade));
    expect((await call('diff')).exitCode).toBe(0);
  });

  it('keeps the changes of both sides where they are of different lines', async () => {
    madeEarlier(fade, older, changedTail(older));
    expect((await call('diff')).stdout).toContain('in other lines: both can stay');
    const { exitCode, stdout } = await call('update', `specs/${fade}`);
    expect(exitCode).toBe(0);
    expect(stdout).toContain("the library's changes are in it, and yours");
    expect(text(fade)).toBe(changedTail(shipped(fade)));
    expect((await call('diff')).stdout).toContain(
      `changed here alone, nothing to take:\n  ${fade}\n`,
    );
  });

  it('leaves what both changed in the same lines to the user, who says which side wins', async () => {
    const mine = older.replace('It fades.', 'It fades well.');
    madeEarlier(fade, older, mine);
    expect((await call('diff', fade)).stdout).toMatch(
      /in the same lines\n[\s\S]*your changes:\n[\s\S]*\+claim: It fades well\./,
    );
    const left = await call('update');
    expect(left.exitCode).toBe(1);
    expect(left.stdout).toMatch(
      /left as it was, since both sides changed the same lines; .*--mine or --theirs/,
    );
    expect(text(fade)).toBe(mine);
    expect((await call('update', fade, '--mine')).exitCode).toBe(0);
    expect(text(fade)).toBe(mine);
    expect((await call('diff')).exitCode).toBe(0);
    await call('update', fade, '--theirs');
    expect(text(fade)).toBe(shipped(fade));
  });

  it('writes no spec that the changes of both sides together would break', async () => {
    // Each side adds tags, far from the other's: alone it is a spec.
    const base = shipped(fade).replace(/^tags: .*\n/m, '');
    const mine = `${base.trimEnd()}\ntags: [ours]\n`;
    madeEarlier(fade, base, mine);
    const { exitCode, stdout } = await call('update');
    expect(exitCode).toBe(1);
    expect(stdout).toMatch(/since the changes of both sides together are no spec:\n.*tags/);
    expect(text(fade)).toBe(mine);
  });

  it('says so where nobody knows from which version a copy came', async () => {
    rmSync(copy('.library'), { recursive: true });
    writeFileSync(copy(fade), older);
    const { stdout } = await call('diff');
    expect(stdout).toContain('the version that it came from is not known');
    const { exitCode, stdout: left } = await call('update');
    expect(exitCode).toBe(1);
    expect(left).toContain('since the version that it came from is not known');
    expect(text(fade)).toBe(older);
  });

  it('takes new specs when it is told to, and brings back none that were deleted', async () => {
    rmSync(copy(fade));
    rmSync(copy('flicker/eye.spec.yaml'));
    rmSync(copy(`.library/${harnessVersion}/flicker/eye.spec.yaml`));
    const { stdout } = await call('diff');
    expect(stdout).toMatch(/^new in the library, .*:\n {2}flicker\/eye\.spec\.yaml\n/m);
    expect(stdout).toMatch(new RegExp(`^deleted here:\n {2}${fade}\n`, 'm'));
    await call('update');
    expect(existsSync(copy('flicker/eye.spec.yaml'))).toBe(false);
    await call('update', '--new');
    expect(text('flicker/eye.spec.yaml')).toBe(shipped('flicker/eye.spec.yaml'));
    expect(existsSync(copy(fade))).toBe(false);
  });

  it('leaves specs of the user alone', async () => {
    writeFileSync(copy('fading/own.spec.yaml'), 'mine');
    await call('update', '--new');
    expect(text('fading/own.spec.yaml')).toBe('mine');
    expect(readdirSync(copy('.library'))).toEqual([harnessVersion]);
  });

  it('refuses what makes no sense', async () => {
    expect((await call('update', '--theirs')).stderr).toContain('--theirs: expected the files');
    expect((await call('update', 'fading/fades-on-tine.spec.yaml')).stderr).toContain(
      'did you mean "fading/fades-on-time.spec.yaml"?',
    );
    const none = await call('diff', '--specs', 'nowhere');
    expect(none).toMatchObject({ exitCode: 66 });
  });
});
