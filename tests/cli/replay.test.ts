import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { register as replayCommand } from '../../harness/cli/running/replay.ts';
import { register as runCommandOf } from '../../harness/cli/running/run.ts';
import type { ConditionRecord } from '../../harness/record/run-record.ts';
import { readReplayInputs } from '../../harness/workflow/replaying/replay-inputs.ts';
import { buildAlcove, buildSource } from '../firmware/build-firmware.ts';
import { readVcd } from '../report/exchange/vcd-reader.ts';
import { runCommand } from './run-command.ts';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

const spec = dimmingSpec('dims', ['50 %', '10 %']);
type DriveOfRecord = NonNullable<ConditionRecord['drives']>[number];
const inTwo = (text: string) => text.replace('conditions:', 'repeat: 2\nconditions:');

/** A folder with one run in it. */
async function ran(files: Readonly<Record<string, string | Uint8Array>>, ...options: string[]) {
  const cwd = desk(files);
  const said = await runCommand(runCommandOf, ['specs', '--quiet', ...options], { cwd });
  return { cwd, said, run: recordIn(runsIn(cwd)[0]!) };
}

async function replayed(cwd: string, ...options: string[]) {
  const reports = ['--reports', join(cwd, 'reports')];
  const said = await runCommand(replayCommand, ['latest', ...reports, ...options], { cwd });
  const [folder] = said.exitCode < 64 ? runsIn(cwd, 'replays') : [];
  return { ...said, record: folder === undefined ? null : recordIn(folder) };
}

test('the worst condition is replayed with the same figures, and everything is recorded', async () => {
  const wrong = spec.replaceAll('target: $level', 'target: 50 %');
  const { cwd, run } = await ran({ 'specs/dims.spec.yaml': wrong });
  const vcd = join(cwd, 'dims.vcd');
  const { record, exitCode, stdout } = await replayed(cwd, '--vcd', vcd);
  expect(exitCode).toBe(1);
  const before = run.specs[0]!.conditions.find(({ key }) => key === 'level=10 %')!;
  const now = record!.specs[0]!.conditions[0]!;
  expect(record!.specs[0]!.conditions).toHaveLength(1);
  const figures = ({ findings }: ConditionRecord) =>
    findings.map(({ metric, of, outcome, verdict }) => ({ metric, of, outcome, verdict }));
  expect(figures(now)).toEqual(figures(before));
  expect(stdout).toContain('with the same figures');
  expect(before.drives ?? before.heard).toBeUndefined();
  expect(now.drives!.map(({ channel }) => channel)).toEqual(
    run.lamp.channels.map(({ channel }) => channel),
  );
  expect(now.heard![0]!.heard.some(({ kind }) => kind === 'console')).toBe(true);
  expect(now.probes!.map(({ name }) => name)).toContain('level');
  const own = now.captures.filter(({ taken }) => taken !== 'alongside').map(({ id }) => id);
  expect(own).toEqual(before.captures.map(({ id }) => id));
  const inside = now.captures.filter(({ taken }) => taken === 'alongside');
  expect([...new Set(inside.map(({ signal }) => signal))]).toEqual([
    ...['light', 'channel-current', 'supply-current', 'supply-voltage'],
    ...['busy', 'memory-write', 'sync'],
  ]);
  expect(record!.deviations.map(({ kind }) => kind)).toContain('replay');
  const { variables } = readVcd(readFileSync(vcd, 'utf8'));
  const drive = variables.get('drive_warm')!.changes;
  // Full light, and then a tenth of it.
  const values = drive.map(({ value }) => Number(value));
  expect(Math.max(...values)).toBeGreaterThan(0.9 * now.drives![0]!.full);
  expect(values.at(-1)! / Math.max(...values)).toBeCloseTo(0.1, 2);
  for (const line of ['inside_light_lx', 'inside_busy', 'inside_sync', 'inside_memory_write'])
    expect(variables.has(line)).toBe(true);
});

test('a repeat is replayed with the noise that it had', async () => {
  const { cwd, run } = await ran({ 'specs/dims.spec.yaml': inTwo(spec) }, '--seed', '3');
  const worst = await replayed(cwd, '--condition', 'level=10 %');
  const again = worst.record!.specs[0]!.conditions[0]!;
  const of = (repeat: number) =>
    run.specs[0]!.conditions.find((one) => one.key === again.key && one.repeat === repeat)!;
  const value = (one: ConditionRecord) =>
    JSON.stringify(one.findings.map(({ outcome }) => outcome));
  expect(value(of(0))).not.toBe(value(of(1)));
  // Of two repeats the worse one is meant: with this seed the second.
  expect(again.repeat).toBe(1);
  expect(value(again)).toBe(value(of(1)));
});

test('what has changed since the run is named, and replayed only where that is asked for', async () => {
  const { cwd } = await ran({ 'specs/dims.spec.yaml': spec });
  writeFileSync(join(cwd, 'specs/dims.spec.yaml'), spec.replace('± 30 %', '± 0.001 %'));
  const refused = await replayed(cwd);
  expect(refused.exitCode).toBe(64);
  expect(refused.stderr).toMatch(
    /the spec specs\/dims\.spec\.yaml is another \(sha256 [0-9a-f]{12}…, in the run [0-9a-f]{12}…\)/,
  );
  const { exitCode, stdout, record } = await replayed(cwd, '--despite-changes');
  expect(exitCode).not.toBe(0);
  expect(stdout).toMatch(/Other than dims, level .* in run [0-9a-f]{8}: /);
  expect(record!.deviations.find(({ kind }) => kind === 'replay')?.text).toContain('is another');
});

test('a run of other firmware needs its build, and takes no other', async () => {
  const build = buildAlcove();
  const { cwd } = await ran(
    { 'specs/dims.spec.yaml': spec, 'lamp.wasm': build, 'new.wasm': buildAlcove('coarse-fade') },
    ...['--firmware', 'lamp.wasm'],
  );
  expect((await replayed(cwd)).stderr).toContain('name its file with --firmware');
  const other = await replayed(cwd, '--firmware', 'new.wasm');
  expect(other.stderr).toContain('the firmware new.wasm is another');
  const { exitCode, record } = await replayed(cwd, '--firmware', 'lamp.wasm');
  expect(exitCode).toBe(0);
  const [{ full, values }] = record!.specs[0]!.conditions[0]!.drives as [DriveOfRecord];
  expect(Math.max(...values)).toBe(full);
});

test('of firmware that traps everything up to the trap is kept', async () => {
  const lamp = buildSource('sources/broken.c');
  const { cwd } = await ran(
    { 'specs/dims.spec.yaml': spec, 'lamp.wasm': lamp },
    ...['--firmware', 'lamp.wasm'],
  );
  const { exitCode, record } = await replayed(cwd, '--firmware', 'lamp.wasm');
  expect(exitCode).toBe(1);
  const { captures, heard } = record!.specs[0]!.conditions[0]!;
  expect(captures.length).toBeGreaterThan(5);
  expect(heard).toHaveLength(1);
});

test('a run on a rig cannot be replayed', async () => {
  const { cwd, run } = await ran({ 'specs/dims.spec.yaml': spec });
  const [one] = run.specs;
  const onRig = { ...run, rig: { ...run.rig, simulated: false } };
  const inputs = readReplayInputs(
    { run: onRig, spec: one!, condition: one!.conditions[0]! },
    {},
    cwd,
  );
  await expect(inputs).rejects.toThrow('only runs on the simulated lamp can be replayed');
});
