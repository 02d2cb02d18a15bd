import { execFileSync } from 'node:child_process';
import {
  cpSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { verifyRun } from '../../harness/archive/verify-run.ts';
import { scratchFolders } from './scratch.ts';
import { newPerson, sealedRun, sign, signedRun } from './signed-run.ts';

const scratch = scratchFolders();

function filesOf(folder: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((file) => statSync(join(folder, file)).isFile())
    .sort();
}

function flip(path: string, at: number): void {
  const bytes = readFileSync(path);
  bytes[at]! ^= 1;
  writeFileSync(path, bytes);
}

describe('a signed run', () => {
  it('is accepted with the public key alone', async () => {
    const { folder, mira } = await signedRun(scratch());
    const verified = await verifyRun(folder, [mira.public]);
    expect(verified).toMatchObject({ accepted: true, problems: [], files: 6 });
    expect(verified.signoffs[0]!.predicate).toMatchObject({
      signer: { name: 'Mira', key: mira.id },
      decision: 'release',
      meaning: 'approval',
      signedAt: '2026-03-05T08:00:00Z',
    });
  });

  it('is refused with the right file named, whichever file loses a bit', async () => {
    const { folder, mira } = await signedRun(scratch());
    const files = filesOf(folder);
    expect(files).toHaveLength(9);
    for (const file of files) {
      const path = join(folder, file);
      const { size } = statSync(path);
      const places = everySome(size, size / (file.startsWith('signoffs') ? 12 : 4));
      for (const at of places) {
        flip(path, at);
        const verified = await verifyRun(folder, [mira.public]);
        expect([file, at, verified.accepted]).toEqual([file, at, false]);
        expect(verified.problems[0]?.file).toBe(file);
        flip(path, at);
      }
    }
    expect((await verifyRun(folder, [mira.public])).accepted).toBe(true);
  });

  it('is refused with the right file named, whichever file is removed', async () => {
    const { folder, mira } = await signedRun(scratch());
    for (const file of filesOf(folder)) {
      const aside = join(scratch(), 'aside');
      renameSync(join(folder, file), aside);
      const verified = await verifyRun(folder, [mira.public]);
      expect([file, verified.accepted]).toEqual([file, false]);
      expect(verified.problems.map((problem) => problem.file)).toContain(file);
      cpSync(aside, join(folder, file));
    }
  });

  it.each(['notes.txt', 'captures/0009-light.npy', 'signoffs/03-eve.txt', '.hidden'])(
    'is refused when %s is added',
    async (file) => {
      const { folder, mira } = await signedRun(scratch());
      writeFileSync(join(folder, file), 'x');
      const verified = await verifyRun(folder, [mira.public]);
      expect(verified.accepted).toBe(false);
      expect(verified.problems).toMatchObject([{ file, text: expect.stringContaining('added') }]);
    },
  );

  it('is refused when a file is renamed, and both names are told', async () => {
    const { folder, mira } = await signedRun(scratch());
    renameSync(join(folder, 'junit.xml'), join(folder, 'tests.xml'));
    const { problems } = await verifyRun(folder, [mira.public]);
    expect(problems).toEqual([{ file: 'junit.xml', text: 'was renamed to tests.xml' }]);
  });

  it('is refused with the right file named, whichever file is renamed', async () => {
    const { folder, mira } = await signedRun(scratch());
    for (const file of filesOf(folder)) {
      const other = file.replace(/[^/]*$/, 'zz-renamed.txt');
      renameSync(join(folder, file), join(folder, other));
      const { accepted, problems } = await verifyRun(folder, [mira.public]);
      expect([file, accepted]).toEqual([file, false]);
      expect(problems.map((problem) => problem.file)).toContain(file);
      renameSync(join(folder, other), join(folder, file));
    }
    expect((await verifyRun(folder, [mira.public])).accepted).toBe(true);
  });

  it('is refused when two of its own files are swapped, and both are named', async () => {
    const { folder, mira } = await signedRun(scratch());
    const [one, two, aside] = ['junit.xml', 'index.html', '../aside'].map((file) =>
      join(folder, file),
    );
    renameSync(one!, aside!);
    renameSync(two!, one!);
    renameSync(aside!, two!);
    const { accepted, problems } = await verifyRun(folder, [mira.public]);
    expect(accepted).toBe(false);
    expect(problems.map(({ file }) => file)).toEqual(['index.html', 'junit.xml']);
  });

  it('is refused when a file is swapped with that of another run', async () => {
    const { folder, mira } = await signedRun(scratch());
    const other = await sealedRun(scratch(), { id: 'another0123', seed: 2 });
    for (const file of ['run.json', 'manifest.json']) {
      const own = readFileSync(join(folder, file));
      cpSync(join(other, file), join(folder, file));
      const verified = await verifyRun(folder, [mira.public]);
      expect(verified.accepted).toBe(false);
      expect(verified.problems.map((problem) => problem.file)).toContain(file);
      writeFileSync(join(folder, file), own);
    }
  });

  it('cannot lend its signature to another run', async () => {
    const { folder, mira } = await signedRun(scratch());
    const other = await sealedRun(scratch(), { id: 'another0123', seed: 2 });
    cpSync(join(folder, 'signoffs'), join(other, 'signoffs'), { recursive: true });
    const verified = await verifyRun(other, [mira.public]);
    expect(verified.accepted).toBe(false);
    expect(verified.problems[0]).toMatchObject({
      file: 'signoffs/01-mira.release.dsse.json',
      text: expect.stringContaining('signs another run'),
    });
  });

  it('is refused when somebody else seals and signs it anew', async () => {
    const { folder, mira } = await signedRun(scratch());
    rmSync(join(folder, 'signoffs'), { recursive: true });
    await sign(folder, newPerson('Mira'));
    const { accepted, problems } = await verifyRun(folder, [mira.public]);
    expect(accepted).toBe(false);
    expect(problems[0]).toMatchObject({
      file: 'signoffs/01-mira.release.dsse.json',
      text: expect.stringContaining('not among the keys given'),
    });
  });

  it('is refused when its signatures are stripped', async () => {
    const { folder, mira, path, file } = await signedRun(scratch());
    const envelope = JSON.parse(readFileSync(path, 'utf8'));
    writeFileSync(path, JSON.stringify({ ...envelope, signatures: [] }));
    const stripped = await verifyRun(folder, [mira.public]);
    expect(stripped.problems[0]).toEqual({ file, text: 'it has no signature' });
    rmSync(join(folder, 'signoffs'), { recursive: true });
    const bare = await verifyRun(folder, [mira.public]);
    expect(bare).toMatchObject({ accepted: false, problems: [{ file: 'signoffs' }] });
  });

  it('does not let an earlier sign-off be taken away from under a later one', async () => {
    const { folder, mira } = await signedRun(scratch());
    const otto = newPerson('Otto');
    expect(await sign(folder, otto)).toBe('signoffs/02-otto.release.dsse.json');
    expect((await verifyRun(folder, [mira.public, otto.public])).accepted).toBe(true);
    for (const file of filesOf(folder).filter((name) => name.includes('01-mira'))) {
      rmSync(join(folder, file));
    }
    const { problems, accepted } = await verifyRun(folder, [mira.public, otto.public]);
    expect(accepted).toBe(false);
    expect(problems.map(({ file }) => file).sort()).toEqual([
      'signoffs/01-mira.release.dsse.json',
      'signoffs/01-mira.test-result.dsse.json',
    ]);
  });

  it('verifies with openssl alone, by the lines of reports/README.md', async () => {
    const { folder, mira } = await signedRun(scratch());
    const readme = readFileSync(join(import.meta.dirname, '../../reports/README.md'), 'utf8');
    const script = /```sh verify\n([\s\S]*?)```/.exec(readme)?.[1];
    writeFileSync(join(folder, '../mira.pub.pem'), mira.publicPem);
    const run = (): string =>
      execFileSync('sh', ['-eu', '-c', script!, 'sh', '../mira.pub.pem'], {
        cwd: folder,
        encoding: 'utf8',
        stdio: ['ignore', 'pipe', 'pipe'],
      });
    const text = run();
    expect(text).toContain('Signature Verified Successfully');
    expect(text).toContain('manifest.json: signed');
    expect(text).toContain('captures/0000-light.npy: OK');
    flip(join(folder, 'captures/0000-light.npy'), 130);
    expect(run).toThrow(/captures\/0000-light\.npy: FAILED|Command failed/);
    flip(join(folder, 'captures/0000-light.npy'), 130);
    flip(join(folder, 'manifest.json'), 40);
    expect(run).toThrow();
  });
});

/** Every `step`th place of a file of `size` bytes, the last one included. */
function everySome(size: number, step: number): number[] {
  const places = new Set([size - 1]);
  for (let at = 0; at < size; at += Math.max(1, step)) places.add(Math.floor(at));
  return [...places];
}
