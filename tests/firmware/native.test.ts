import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { portFunctions } from '../../drivers/plant/firmware/lamp-imports.ts';
import { loadFirmware } from '../../drivers/plant/firmware/load-firmware.ts';
import { openPlantBench } from '../../drivers/plant/plant-bench.ts';
import type { Plan } from '../../harness/plan/plan.ts';
import { runCondition } from '../../harness/run/condition/run-condition.ts';
import {
  buildAlcove,
  buildAlcoveMainLoop,
  buildAlcoveNatively,
  buildSource,
  buildSourceNatively,
} from './build-firmware.ts';
import { claim, lamp, rig } from './judge.ts';

const made: string[] = [];
const scratch = (): string => {
  const folder = mkdtempSync(join(tmpdir(), 'evenfall-native-'));
  made.push(folder);
  return folder;
};
afterAll(() => {
  for (const folder of made) rmSync(folder, { recursive: true });
});

/** What passed between a build and the lamp in the first condition of a claim. */
async function transcriptOf(build: Uint8Array, plan: Plan): Promise<string> {
  const firmware = await loadFirmware(build, 'lamp.wasm');
  const [condition] = plan.conditions;
  const common = { lamp, rig, seed: 7, lampSeed: 1, faults: [] };
  const task = { spec: plan.spec, condition: condition!, position: 1, repeat: 0, ...common };
  const open = () => openPlantBench({ ...common, firmware, everything: true });
  const clock = { wallNow: () => '2026-01-01T00:00:00Z' };
  const { transcripts } = await runCondition(task, open, new AbortController().signal, clock);
  const [text] = transcripts ?? [];
  if (!text) throw new Error('there is no transcript');
  return text;
}

function replayed(program: string, transcript: string, ...options: string[]) {
  const file = join(scratch(), 'lamp.transcript');
  writeFileSync(file, transcript);
  const { status, stdout, stderr } = spawnSync(program, [file, ...options], {
    encoding: 'utf8',
    maxBuffer: 2 ** 28,
  });
  return { status, stdout, stderr };
}

const patched =
  (name: string) =>
  (folder: string): void => {
    const patch = join(import.meta.dirname, `${name}.patch`);
    expect(spawnSync('git', ['apply', patch], { cwd: folder }).status).toBe(0);
  };

const drives = (text: string) => text.split('\n').filter((line) => line.startsWith('> drive'));

describe.each([
  ['by ticks', buildAlcove, ''],
  ['by a main loop', buildAlcoveMainLoop, '-DMAIN_LOOP'],
])('the example firmware, driven %s', (_, build, style) => {
  let program = '';
  let wasm = new Uint8Array();
  beforeAll(() => {
    program = buildAlcoveNatively(scratch(), 'native', { style });
    wasm = Uint8Array.from(build());
  });

  test.each([
    ['fades of the console', 'fading/fades-on-time'],
    ['resets', 'robustness/reset-in-fade'],
    ['power cycles', 'robustness/power-cycle-in-fade'],
    ['DALI', 'control/dali-power-on-level'],
    ['DMX512', 'control/slot-levels'],
  ])('tells the lamp the same natively: %s', async (__, name) => {
    const transcript = await transcriptOf(wasm, claim(name));
    const { status, stderr } = replayed(program, transcript);
    expect(stderr).toContain('told the lamp the same, to the end');
    expect(status).toBe(0);
    const traced = replayed(program, transcript, '--trace').stdout;
    expect(drives(traced)).toEqual(drives(transcript));
    expect(drives(transcript).length).toBeGreaterThan(20);
  });
});

test('the native lamp has every function of the port', () => {
  const port = join(import.meta.dirname, '../../drivers/plant/firmware');
  const native = readFileSync(join(port, 'native/native-lamp.c'), 'utf8');
  const missing = portFunctions.filter((name) => !new RegExp(`^\\w+ ${name}\\(`, 'm').test(native));
  expect(missing).toEqual([]);
});

describe('a native build', () => {
  let transcript = '';
  beforeAll(async () => {
    transcript = await transcriptOf(buildAlcove(), claim('fading/fades-on-time'));
  });

  test('says where it tells the lamp something else', () => {
    const program = buildAlcoveNatively(scratch(), 'native');
    const lines = transcript.split('\n');
    const number = lines.findLastIndex((line) => line.startsWith('> drive 2 '));
    lines[number] = '> drive 2 77777';
    const { status, stderr } = replayed(program, lines.join('\n'));
    expect(status).toBe(1);
    expect(stderr).toMatch(
      new RegExp(`transcript:${number + 1}: at \\d+ us the build of the run told "drive 2 77777"`),
    );
  });

  test('with a bug is told from the one of the run at its first other drive', () => {
    const program = buildAlcoveNatively(scratch(), 'native', { edit: patched('bugs/coarse-fade') });
    const { status, stderr } = replayed(program, transcript);
    expect(status).toBe(1);
    expect(stderr).toMatch(
      /at \d+ us the build of the run told "drive \d \d+", the native build "busy 0"/,
    );
  });

  test('with sanitisers names file and line of a write beyond an array, which WebAssembly lets pass', async () => {
    const seeded = 'static uint8_t history[8];\nstatic bool control_tick(void)\n{\n';
    const edit = (folder: string): void => {
      const file = join(folder, 'main.c');
      const sound = readFileSync(file, 'utf8');
      const broken = sound.replace(
        'static bool control_tick(void)\n{\n',
        `${seeded}  history[ticks & 15] = (uint8_t)ticks;\n`,
      );
      expect(broken).not.toBe(sound);
      writeFileSync(file, broken);
    };
    const folder = scratch();
    const program = buildAlcoveNatively(folder, 'sanitize', { edit });
    const { status, stderr } = replayed(program, transcript);
    expect(status).not.toBe(0);
    const line = readFileSync(join(folder, 'main.c'), 'utf8')
      .split('\n')
      .findIndex((text) => text.includes('history[ticks & 15]'));
    expect(stderr).toMatch(new RegExp(`main\\.c:${line + 1}`));
    expect(stderr).toMatch(/out of bounds|global-buffer-overflow/);
    const sound = buildAlcoveNatively(scratch(), 'sanitize');
    expect(replayed(sound, transcript).status).toBe(0);
  });

  test.each([
    ['probes', 'sources/prober.c'],
    ['datagrams', 'sources/datagrams.c'],
    ['what it senses', 'sources/watchful.c'],
    ['conversions', 'sources/converter.c'],
    ['restarts by a watchdog, and their cause', 'sources/supervised.c'],
    ['memory that is being written', 'sources/keeper.c'],
  ])('tells the same of %s', async (_, source) => {
    const name = source.includes('datagrams') ? 'control/sacn-loss-holds' : 'fading/fades-on-time';
    const told = await transcriptOf(buildSource(source), claim(name));
    const { stderr, status } = replayed(buildSourceNatively(scratch(), source), told);
    expect(stderr).toContain('told the lamp the same, to the end');
    expect(status).toBe(0);
  });

  test('a restart begins with variables as the compiler set them', async () => {
    const source = 'sources/restarter.c';
    const told = await transcriptOf(buildSource(source), claim('fading/fades-on-time'));
    // Its third life is its last: it counts them in memory that outlasts a restart.
    expect(told.match(/> drive 0 1\d\d$/gm)).toEqual([
      '> drive 0 101',
      '> drive 0 102',
      '> drive 0 103',
    ]);
    expect(told).toContain('> log begun: 25 \\xc2\\xb0C, \\x1b[0m, a \\x5c\n');
    const { stderr, status } = replayed(buildSourceNatively(scratch(), source), told);
    expect(stderr).toContain('told the lamp the same, to the end');
    expect(status).toBe(0);
  });

  test.each([
    ['nothing', '', 'expected evenfall-transcript 1'],
    ['another file', 'spec: a\n', 'transcript:1: expected evenfall-transcript 1, found "spec: a"'],
    [
      'a call of another port',
      'evenfall-transcript 1\nchannels 1\n0 lamp_init\n5 lamp_dance\n',
      'transcript:4: expected a function of lamp-port.h',
    ],
  ])('answers a transcript of %s with a sentence', (_, text, says) => {
    const program = buildSourceNatively(scratch(), 'sources/no-tick.c');
    const { status, stderr } = replayed(program, text);
    expect(stderr).toContain(says);
    expect(status).toBe(65);
  });
});
