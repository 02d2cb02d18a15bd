import { appendFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { brokenFiles } from '../../harness/archive/broken-files.ts';
import { readCapture } from '../../harness/archive/capture-file.ts';
import { readManifest } from '../../harness/archive/manifest.ts';
import type { ConditionRecord, RunRecord } from '../../harness/record/run-record.ts';
import { evenfall, Running } from './program.ts';
import { desk, dimmingSpec, findingsText, recordIn, runsIn } from './small-specs.ts';

/** Many more than two: on a busy machine the signal comes long after the second has ended. */
const levels = Array.from({ length: 60 }, (_, i) => `${90 - i} %`);
const files = { 'specs/dims.spec.yaml': dimmingSpec('dims', levels) };

/** What the run comes to when nobody disturbs it. */
let undisturbed: string;

beforeAll(async () => {
  const cwd = desk(files);
  await evenfall(['run', 'specs', '--jobs', '1'], { cwd });
  undisturbed = findingsText(recordIn(runsIn(cwd)[0]!));
});

/** Starts the run and sends the signal when two conditions have ended. */
async function cutOff(signal: NodeJS.Signals): Promise<{ cwd: string; exitCode: number | null }> {
  const cwd = desk(files);
  const running = new Running(['run', 'specs', '--jobs', '1', '--json'], { cwd });
  await running.until((stdout) => stdout.split('"event":"condition-ended"').length > 2);
  running.child.kill(signal);
  const { exitCode } = await running.ended;
  return { cwd, exitCode };
}

function conditionsOf({ specs }: RunRecord): readonly ConditionRecord[] {
  return specs.flatMap(({ conditions }) => conditions);
}

async function expectSound(folder: string): Promise<void> {
  expect(await brokenFiles(folder, (await readManifest(folder))!)).toEqual([]);
  const captures = conditionsOf(recordIn(folder)).flatMap((condition) => condition.captures);
  for (const { file, samples } of captures) {
    expect((await readCapture(folder, file)).codes).toHaveLength(samples);
  }
  // No capture that no condition rests on.
  const stored = readdirSync(join(folder, 'captures')).filter((name) => name.endsWith('.codes'));
  expect(stored.sort()).toEqual(captures.map(({ file }) => file).sort());
}

describe.each([
  ['SIGINT', 130],
  ['SIGTERM', 143],
] as const)('a run that is ended by %s', (signal, code) => {
  it(`exits with ${code}, is sealed as interrupted, and is resumed in a run that follows it`, async () => {
    const { cwd, exitCode } = await cutOff(signal);
    expect(exitCode).toBe(code);
    const [folder] = runsIn(cwd);
    const record = recordIn(folder!);
    expect(record).toMatchObject({ ended: 'interrupted', safeState: { confirmed: true } });
    const finished = conditionsOf(record).filter(({ verdict }) => verdict === 'pass').length;
    expect(finished).toBeGreaterThanOrEqual(2);
    expect(finished).toBeLessThan(levels.length);
    for (const { verdict, reason } of conditionsOf(record).slice(finished)) {
      expect([verdict, reason]).toEqual(['not run', `the run was ended by ${signal}`]);
    }
    await expectSound(folder!);

    const resumed = await evenfall(['run', 'specs', '--jobs', '1', '--resume', record.id], { cwd });
    expect(resumed.exitCode).toBe(0);
    const [first, second] = runsIn(cwd);
    expect(recordIn(first!)).toEqual(record);
    const whole = recordIn(second!);
    expect(whole.follows).toEqual([{ id: record.id, how: 'resumes' }]);
    expect(whole.deviations.at(-1)?.text).toContain(`kept ${finished} of its conditions`);
    expect(findingsText(whole)).toBe(undisturbed);
    await expectSound(second!);
  });
});

describe('a run that is killed', () => {
  it('goes on in its own folder; nothing is lost and nothing doubled', async () => {
    const { cwd, exitCode } = await cutOff('SIGKILL');
    expect(exitCode).toBeNull();
    const [folder] = runsIn(cwd);
    expect(await readManifest(folder!)).toBeNull();
    const { id } = recordIn(folder!);

    const resumed = await evenfall(['run', 'specs', '--jobs', '1', '--resume', 'latest'], { cwd });
    expect(resumed.exitCode).toBe(0);
    expect(runsIn(cwd)).toEqual([folder]);
    const whole = recordIn(folder!);
    expect(whole).toMatchObject({ id, ended: 'complete', verdict: 'pass' });
    const kept = /kept (\d+) of its conditions/.exec(whole.deviations.at(-1)?.text ?? '')?.[1];
    expect(Number(kept)).toBeGreaterThanOrEqual(2);
    expect(findingsText(whole)).toBe(undisturbed);
    await expectSound(folder!);
  });

  it('is not resumed with another seed, or with specs that have changed', async () => {
    const { cwd } = await cutOff('SIGKILL');
    const resume = ['run', 'specs', '--resume', 'latest'];
    const reseeded = await evenfall([...resume, '--seed', '2'], { cwd });
    expect(reseeded.exitCode).toBe(64);
    expect(reseeded.stderr).toContain('the seed is 2 (it was 1)');
    const [spec = ''] = readdirSync(join(cwd, 'specs')).filter((name) => /spec\.yaml$/.test(name));
    appendFileSync(join(cwd, 'specs', spec), '# changed\n');
    const changed = await evenfall(resume, { cwd });
    expect(changed.exitCode).toBe(64);
    expect(changed.stderr).toMatch(/: the specs have changed since \([a-z-]+\)\. Start a new run/);
  });
});
