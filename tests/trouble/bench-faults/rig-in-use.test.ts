import { chmodSync, mkdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import { evenfall, Running } from '../../cli/program.ts';
import { openTestEmulation } from '../../drivers/emulate/open-test-bench.ts';
import { benchDesk, conditionsOf, isLit, locksIn, newestRecord } from './emulated-runs.ts';

let emulation: Emulation;
beforeAll(async () => {
  emulation = await openTestEmulation();
});
afterAll(async () => {
  await emulation?.close();
});

/** Another rig file that means the same instruments. */
function otherName(text: string): string {
  return text.replace('rig: emulated', 'rig: bench-b');
}

describe('two rig files with the same instruments', () => {
  it.each([
    [
      'written the same',
      (text: string) => text,
      /\w+ \(\w+ .*\) is in use by .*, as \w+ \(\w+ .*\) of rig emulated/,
    ],
    [
      'by other names of this computer',
      (text: string) => text.replaceAll('tcp://127.0.0.1', 'tcp://LOCALHOST'),
      /is in use by .* of rig emulated/,
    ],
    ['one instrument alone', oneInstrument, /supply \(tcp .*\) is in use by/],
  ] as const)('%s: the second exits with 75 and touches nothing', async (_, change, words) => {
    const first = benchDesk(emulation);
    const second = benchDesk(emulation, { change: (text) => change(otherName(text)) });
    const running = new Running(first.args, first);
    await running.until(isLit);
    const refused = await evenfall(second.args, { cwd: second.cwd, env: first.env });
    expect(refused.stderr).toMatch(words);
    expect(refused.exitCode).toBe(75);
    await running.ended;
    expect(newestRecord(first.cwd).ended).toBe('complete');
    expect(locksIn(first.env.EVENFALL_LOCKS)).toEqual([]);
  });

  it('knows an instrument by its serial number at another address', async () => {
    const other = await openTestEmulation();
    try {
      const first = benchDesk(emulation);
      const second = benchDesk(other, { change: otherName });
      const running = new Running(first.args, first);
      await running.until(isLit);
      const refused = await evenfall(second.args, { cwd: second.cwd, env: first.env });
      expect(refused.stderr).toMatch(/\(instrument tarn \w+ em-000\d\) is in use by/);
      expect(refused.exitCode).toBe(75);
      await running.ended;
      expect(newestRecord(first.cwd).ended).toBe('complete');
    } finally {
      await other.close();
    }
  });

  it('run side by side where they share nothing', async () => {
    const other = await openTestEmulation();
    try {
      const first = benchDesk(emulation);
      const serials = (text: string): string =>
        otherName(text).replace(/identity: \{ maker: Tarn, model: \w+, serial: EM-/g, (found) =>
          found.replace('EM-', 'OTHER-'),
        );
      const second = benchDesk(other, { change: serials });
      // The emulated instruments say EM-: nothing but an identity that does not fit comes of it.
      const running = new Running(first.args, first);
      await running.until(isLit);
      const { exitCode, stderr } = await evenfall(second.args, { cwd: second.cwd, env: first.env });
      expect(stderr).toMatch(/expects serial OTHER-/);
      expect(exitCode).toBe(69);
      await running.ended;
      expect(newestRecord(first.cwd).ended).toBe('complete');
    } finally {
      await other.close();
    }
  });
});

/** Only the supply is the other rig's; the others are at ports where nobody is. */
function oneInstrument(text: string): string {
  const parts = text.split(/(?=\n {2}[a-z-]+:\n {4}driver:)/);
  return parts
    .map((part) =>
      part.startsWith('\n  supply:') ? part : part.replace(/tcp:\/\/\S+/, 'tcp://127.0.0.1:9'),
    )
    .join('')
    .replace(/to: 127\.0\.0\.1:\d+/, 'to: 192.0.2.1:5568');
}

describe('a rig that is switched off by force during a run', () => {
  it('makes the condition an error, ends the run, and says who did it', async () => {
    const { cwd, env, rig, args } = benchDesk(emulation, { hold: '1 s' });
    const running = new Running(args, { cwd, env });
    await running.until(isLit);
    await new Promise((done) => setTimeout(done, 1500));
    const forced = await evenfall(['rig', 'safe', '--force', '--rig', rig], { cwd, env });
    expect(forced.stderr).toMatch(/Takes the rig from /);
    const { exitCode, stderr } = await running.ended;
    expect(exitCode, stderr).toBe(3);
    const record = newestRecord(cwd);
    expect(record.ended).toBe('failed');
    const verdicts = conditionsOf(record).map(({ verdict }) => verdict);
    expect(verdicts).not.toContain('fail');
    expect(verdicts).toContain('error');
    expect(verdicts.at(-1)).toBe('not run');
    const reasons = conditionsOf(record).map(({ reason }) => reason);
    expect(reasons.at(-1)).toMatch(/switched off by force \(evenfall rig safe --force, process/);
    expect(record.safeState).toMatchObject({ confirmed: true });
    expect(locksIn(env.EVENFALL_LOCKS)).toEqual([]);
  });

  it('does so by a rig file of another name, too', async () => {
    const first = benchDesk(emulation, { hold: '1 s' });
    const second = benchDesk(emulation, { change: otherName });
    const running = new Running(first.args, first);
    await running.until(isLit);
    const safe = ['rig', 'safe', '--force', '--rig', second.rig];
    await evenfall(safe, { cwd: second.cwd, env: first.env });
    expect((await running.ended).exitCode).toBe(3);
    const verdicts = conditionsOf(newestRecord(first.cwd)).map(({ verdict }) => verdict);
    expect(verdicts).not.toContain('fail');
  });

  it('ends a run whose lock somebody deleted, and gave to another', async () => {
    const { cwd, env, args } = benchDesk(emulation, { hold: '1 s' });
    const running = new Running(args, { cwd, env });
    await running.until(isLit);
    const lock = join(env.EVENFALL_LOCKS, 'evenfall-emulated.lock');
    const holder = JSON.parse(readFileSync(lock, 'utf8'));
    writeFileSync(lock, JSON.stringify({ ...holder, token: 'another' }));
    expect((await running.ended).exitCode).toBe(3);
    const record = newestRecord(cwd);
    expect(
      conditionsOf(record)
        .map(({ reason }) => reason)
        .join(),
    ).toMatch(/held by process/);
    // The other one's lamp is not switched off.
    expect(record.safeState).toMatchObject({ confirmed: false });
    expect(record.safeState.detail).toMatch(/was not touched/);
    await evenfall(['rig', 'safe', '--force', '--rig', join(cwd, 'bench.rig.yaml')], { cwd, env });
  });
});

describe('a folder of locks that takes none', () => {
  it.each([
    [
      'a file in its place',
      (folder: string) => writeFileSync(folder, ''),
      /it is a file; move it away/,
    ],
    [
      'a file above it',
      (folder: string) => {
        writeFileSync(`${folder}-file`, '');
        symlinkSync(`${folder}-file/below`, folder);
      },
      /no lock can be kept in .*: /,
    ],
    [
      'a full disk',
      (folder: string) => symlinkSync('/dev/full', folder),
      /no lock can be kept in /,
    ],
    [
      'a folder in place of the lock',
      (folder: string) => mkdirSync(join(folder, 'evenfall-emulated.lock'), { recursive: true }),
      /there is a folder where the lock .* should be/,
    ],
    [
      'something else in place of the lock',
      (folder: string) => {
        mkdirSync(folder);
        writeFileSync(join(folder, 'evenfall-emulated.lock'), 'null');
      },
      /is not a lock of Evenfall/,
    ],
    [
      'no permission',
      (folder: string) => {
        mkdirSync(folder);
        chmodSync(folder, 0o500);
      },
      process.getuid?.() === 0 ? /./ : /you may not write there/,
    ],
  ] as const)('%s: a sentence', async (what, spoil, words) => {
    const { cwd, env, args } = benchDesk(emulation, { levels: ['90 %'] });
    spoil(env.EVENFALL_LOCKS);
    const { exitCode, stderr } = await evenfall(args, { cwd, env });
    expect(stderr).toMatch(words);
    expect(stderr).not.toMatch(/unexpected error|\n\s+at /);
    if (what !== 'no permission' || process.getuid?.() !== 0) expect([73, 75]).toContain(exitCode);
  });
});
