import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import { evenfall, Running } from '../../cli/program.ts';
import { runsIn } from '../../cli/small-specs.ts';
import { openTestEmulation } from '../../drivers/emulate/open-test-bench.ts';
import { benchDesk, conditionsOf, isLit, newestRecord, pause } from './emulated-runs.ts';

let emulation: Emulation;
beforeAll(async () => {
  emulation = await openTestEmulation();
});
afterEach(() => emulation.troubles.set([]));
afterAll(async () => {
  await emulation?.close();
});

const silence = {
  kind: 'silence',
  on: 'digitiser',
  from: 1,
  once: false,
  seconds: 0,
} as const;

/** A digitiser that is asked soon tells soon that it is gone. */
function impatient(text: string): string {
  return text.replace(/(\n {2}digitiser:\n(?: {4}.*\n)*? {4}deadline: )\S+ s/, '$11 s');
}

function verdicts(cwd: string): readonly string[] {
  return conditionsOf(newestRecord(cwd)).map(({ verdict }) => verdict);
}

describe('a digitiser that is gone for a while', () => {
  it('is waited for, and the same condition goes on', async () => {
    const { cwd, env, args } = benchDesk(emulation, { change: impatient });
    const running = new Running(args, { cwd, env });
    await running.until(isLit);
    emulation.troubles.set([silence]);
    await running.until((_, stderr) => /Waiting for digitiser, \d+ of 600 s/.test(stderr));
    await pause(1500);
    emulation.troubles.set([]);
    const { stderr } = await running.ended;
    expect(stderr).toMatch(/All instruments are back after \d+ s/);
    const found = verdicts(cwd);
    expect(found).toHaveLength(3);
    expect(found).not.toContain('error');
    expect(newestRecord(cwd).ended).toBe('complete');
  });

  it('ends the run when patience has run out, and burns no further condition', async () => {
    const { cwd, env, args } = benchDesk(emulation, { change: impatient });
    const running = new Running([...args, '--patience', '3 s'], { cwd, env });
    await running.until(isLit);
    emulation.troubles.set([silence]);
    expect((await running.ended).exitCode).toBe(3);
    const record = newestRecord(cwd);
    expect(record.ended).toBe('failed');
    expect(verdicts(cwd).filter((verdict) => verdict === 'error')).toHaveLength(1);
    expect(verdicts(cwd).at(-1)).toBe('not run');
    expect(conditionsOf(record).at(-1)?.reason).toMatch(/digitiser did not come back within 3 s/);
    emulation.troubles.set([]);
    const again = await evenfall([...args, '--resume', 'latest'], { cwd, env });
    expect(again.exitCode, again.stderr).not.toBe(3);
    expect(verdicts(cwd)).not.toContain('error');
    expect(verdicts(cwd)).not.toContain('not run');
  });

  it('lets Ctrl-C through while it is waited for', async () => {
    const { cwd, env, args } = benchDesk(emulation, { change: impatient });
    const running = new Running(args, { cwd, env });
    await running.until(isLit);
    emulation.troubles.set([silence]);
    await running.until((_, stderr) => /Waiting for digitiser/.test(stderr));
    const asked = performance.now();
    running.child.kill('SIGINT');
    expect((await running.ended).exitCode).toBe(130);
    expect(performance.now() - asked).toBeLessThan(8000);
  });
});

describe('bench errors at the end of a run', () => {
  it('are run again by --resume, and what was tried before stays told', async () => {
    const { cwd, env, args } = benchDesk(emulation);
    const running = new Running([...args, '--retries', '0'], { cwd, env });
    // The record of the last condition comes clipped: an error with figures behind it, and a run that is whole.
    await running.until((stdout) => stdout.split('"event":"condition-started"').length > 3);
    emulation.troubles.set([{ ...silence, kind: 'overload' }]);
    expect((await running.ended).exitCode).toBe(3);
    const first = newestRecord(cwd);
    expect(first.ended).toBe('complete');
    expect(verdicts(cwd).at(-1)).toBe('error');
    emulation.troubles.set([]);
    const again = await evenfall([...args, '--resume', 'latest'], { cwd, env });
    expect(again.stderr).not.toMatch(/nothing to resume/);
    expect(runsIn(cwd)).toHaveLength(2);
    const second = newestRecord(cwd);
    expect(verdicts(cwd)).not.toContain('error');
    expect(second.follows).toEqual([{ id: first.id, how: 'resumes' }]);
    const told = second.deviations.map(({ kind, text }) => `${kind}: ${text}`).join('\n');
    expect(told).toMatch(/earlier attempt: dims, level 30 %: .+ \(run /);
    expect(told).toMatch(/kept 2 of its conditions, ran 1 again after bench errors/);
    const kept = conditionsOf(first).slice(0, 2);
    expect(conditionsOf(second).slice(0, 2)).toEqual(kept);
    const more = await evenfall([...args, '--resume', 'latest'], { cwd, env });
    expect([more.exitCode, more.stderr]).toEqual([64, expect.stringMatching(/nothing to resume/)]);
  });

  it('are run again too where the run was killed; what it had stored is not written over', async () => {
    const { cwd, env, args } = benchDesk(emulation);
    const running = new Running([...args, '--retries', '0'], { cwd, env });
    await running.until((stdout) => stdout.includes('"event":"condition-ended"'));
    emulation.troubles.set([{ ...silence, kind: 'overload', once: true }]);
    await running.until((stdout) => stdout.split('"event":"condition-ended"').length > 2);
    running.child.kill('SIGKILL');
    await running.ended;
    const [cut = ''] = runsIn(cwd);
    const stored = readdirSync(join(cut, 'captures'));
    const again = await evenfall([...args, '--resume', cut], { cwd, env });
    expect(again.exitCode, again.stderr).not.toBe(64);
    expect(verdicts(cwd)).toHaveLength(3);
    expect(verdicts(cwd)).not.toContain('error');
    expect(runsIn(cwd)).toHaveLength(2);
    expect(readdirSync(join(cut, 'captures'))).toEqual(stored);
    const told = newestRecord(cwd)
      .deviations.map(({ text }) => text)
      .join('\n');
    expect(told).toMatch(/ran 1 again after bench errors/);
  });
});
