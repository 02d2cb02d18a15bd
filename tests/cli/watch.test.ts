import { readdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { evenfall, Running } from './program.ts';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

let running: Running | undefined;
afterEach(() => running?.child.kill('SIGKILL'));

const dims = dimmingSpec('dims', ['50 %']);

function watch(cwd: string, ...more: string[]): Running {
  running = new Running(['run', 'specs', '--watch', '--jobs', '1', ...more], { cwd });
  return running;
}

/** Rounds that have been told whole, and are waited after. */
const waits = (count: number) => (_stdout: string, stderr: string) =>
  stderr.split('waiting for the next save').length > count;

describe('evenfall run --watch', () => {
  it('runs again on every save, tells issues and waits for them to be mended, and stores nothing', async () => {
    const cwd = desk({ 'specs/dims.spec.yaml': dims });
    const file = join(cwd, 'specs/dims.spec.yaml');
    const watching = watch(cwd);
    await watching.until(waits(1));

    writeFileSync(file, dims.replaceAll('target: $level', 'target: 5 %'));
    await watching.until(waits(2));

    writeFileSync(file, `${dims}x: [\n`);
    await watching.until(waits(3));
    expect(watching.stderr).toContain('specs/dims.spec.yaml:');
    expect(watching.stderr).toContain('nothing was run');

    // As many editors save: a new file takes the place of the old one.
    writeFileSync(join(cwd, 'aside'), dims);
    renameSync(join(cwd, 'aside'), file);
    await watching.until(waits(4));

    watching.child.kill('SIGINT');
    const { exitCode, stdout } = await watching.ended;
    expect(exitCode).toBe(130);
    expect(stdout.match(/^1 claim: .*$/gm)).toEqual([
      '1 claim: ● 1 pass',
      '1 claim: ▲ 1 fail',
      '1 claim: ● 1 pass',
    ]);
    expect(readdirSync(cwd)).toEqual(['specs']);
  });

  it('begins anew when a file is saved in the middle of a round', async () => {
    const levels = Array.from({ length: 90 }, (_, index) => `${index + 10} %`);
    const cwd = desk({ 'specs/dims.spec.yaml': dimmingSpec('dims', levels) });
    const watching = watch(cwd, '--json');
    await watching.until((stdout) => stdout.includes('"event":"condition-ended"'));
    writeFileSync(join(cwd, 'specs/dims.spec.yaml'), dims);
    await watching.until(waits(1));
    watching.child.kill('SIGINT');
    const { stdout } = await watching.ended;
    const events = stdout
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line));
    const ends = events.filter(({ event }) => event === 'run-ended');
    expect(ends.map(({ record }) => record.ended)).toEqual(['interrupted', 'complete']);
  });

  it('sees the lamp file and new specs, and stores each round where --out says', async () => {
    const lamp = readFileSync('specs/lamps/alcove-6.lamp.yaml', 'utf8');
    const cwd = desk({ 'specs/dims.spec.yaml': dims, 'my.lamp.yaml': lamp });
    const watching = watch(cwd, '--lamp', 'my.lamp.yaml', '--out', 'kept');
    await watching.until(waits(1));
    writeFileSync(join(cwd, 'my.lamp.yaml'), lamp.replace('lamp: alcove-6', 'lamp: alcove-7'));
    await watching.until(waits(2));
    writeFileSync(join(cwd, 'specs/more.spec.yaml'), dimmingSpec('more', ['20 %']));
    await watching.until(waits(3));
    watching.child.kill('SIGTERM');
    expect((await watching.ended).exitCode).toBe(143);
    const records = runsIn(cwd, 'kept').map(recordIn);
    expect(records.map(({ lamp: { name }, specs }) => [name, specs.length])).toEqual([
      ['alcove-6', 1],
      ['alcove-7', 1],
      ['alcove-7', 2],
    ]);
  });

  it('ends at once on a call that no save can mend', async () => {
    const cwd = desk({ 'specs/dims.spec.yaml': dims });
    const wrong = await evenfall(['run', 'specs', '--watch', '--fault', 'no-such'], { cwd });
    expect(wrong.exitCode).toBe(64);
    const resumed = await evenfall(['run', 'specs', '--watch', '--resume', 'latest'], { cwd });
    expect(resumed.exitCode).toBe(64);
    expect(resumed.stderr).toContain('--watch starts a new run each time');
  });
});
