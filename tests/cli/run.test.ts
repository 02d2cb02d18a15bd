import { spawnSync } from 'node:child_process';
import { chmodSync, mkdirSync, readFileSync, statSync } from 'node:fs';
import { join, relative } from 'node:path';
import { describe, expect, it } from 'vitest';
import { brokenFiles } from '../../harness/archive/broken-files.ts';
import { readManifest } from '../../harness/archive/manifest.ts';
import { buildSource } from '../firmware/build-firmware.ts';
import { handMadeModule } from '../firmware/hand-made-module.ts';
import { evenfall, mainFile } from './program.ts';
import { colourSpec, desk, dimmingSpec, findingsText, recordIn, runsIn } from './small-specs.ts';

const dims = dimmingSpec('dims', ['50 %', '20 %']);
/** A build that does nothing. */
const idle = handMadeModule({});
const small = { 'specs/dims.spec.yaml': dims, 'specs/colour.spec.yaml': colourSpec };

describe('evenfall run', () => {
  it('gives the same bytes in every finding whatever the number of jobs, and ends with 0', async () => {
    const cwd = desk(small);
    for (const jobs of ['1', '2']) {
      const { exitCode, stdout, stderr } = await evenfall(['run', 'specs', '--jobs', jobs], {
        cwd,
      });
      expect(stderr + stdout).toContain('2 claims');
      expect(exitCode).toBe(0);
    }
    const [one, two] = runsIn(cwd);
    expect(findingsText(recordIn(one!))).toBe(findingsText(recordIn(two!)));
    for (const folder of [one!, two!]) {
      expect(await brokenFiles(folder, (await readManifest(folder))!)).toEqual([]);
    }
    const { captures } = recordIn(one!)
      .specs.flatMap(({ conditions }) => conditions)
      .at(0)!;
    const [a, b] = [one!, two!].map((folder) =>
      readFileSync(join(folder, 'captures', captures[0]!.file)),
    );
    expect(a!.equals(b!)).toBe(true);
  });

  it('gives another lamp for another seed', async () => {
    const cwd = desk({ 'specs/colour.spec.yaml': colourSpec });
    for (const seed of ['1', '2']) await evenfall(['run', 'specs', '--seed', seed], { cwd });
    const [one, two] = runsIn(cwd).map((folder) => findingsText(recordIn(folder)));
    expect(one).not.toBe(two);
  });

  it('says once that everything was simulated, and who operated', async () => {
    const cwd = desk({ 'specs/dims.spec.yaml': dims });
    const called = { cwd, env: { EVENFALL_OPERATOR: 'M. Lund' } };
    const { stdout } = await evenfall(['run', 'specs/dims.spec.yaml'], called);
    expect(stdout.match(/all instruments are simulated/g)).toHaveLength(1);
    await evenfall(['run', 'specs', '--operator', 'R. Aas'], called);
    expect(runsIn(cwd).map((folder) => recordIn(folder).operator)).toEqual(['M. Lund', 'R. Aas']);
  });

  it('prints nothing but lines of JSON on stdout with --json', async () => {
    const cwd = desk({ 'specs/dims.spec.yaml': dims });
    const env = { GITHUB_ACTIONS: 'true' };
    const { exitCode, stdout } = await evenfall(['run', 'specs', '--json'], { cwd, env });
    const events = stdout
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line).event);
    expect(events[0]).toBe('run-started');
    expect(events.filter((event) => event === 'condition-ended')).toHaveLength(2);
    expect(events.slice(-2)).toEqual(['run-ended', 'run-stored']);
    const last = JSON.parse(stdout.trimEnd().split('\n').at(-1) ?? '');
    expect(last).toEqual({
      version: 1,
      event: 'run-stored',
      folder: relative(cwd, runsIn(cwd)[0]!),
    });
    expect(exitCode).toBe(0);
  });
});

describe('in a CI job', () => {
  it('annotates what failed, adds to the job summary, and obeys nobody else', async () => {
    const claim = `The lamp says ${'::error::owned ##[error]owned '.repeat(6)}`;
    const hostile = dimmingSpec('hostile', ['50 %'])
      .replace('The lamp dims as commanded.', `"${claim}"`)
      .replace(
        '  - hold: 100 ms\n',
        '  - send: { console: who, expect: "::error::owned" }\n  - hold: 100 ms\n',
      );
    const cwd = desk({ 'specs/hostile.spec.yaml': hostile, 'summary.md': '# Before\n' });
    const env = { GITHUB_ACTIONS: 'true', GITHUB_STEP_SUMMARY: join(cwd, 'summary.md') };
    const { exitCode, stdout, stderr } = await evenfall(['run', 'specs'], { cwd, env });
    expect(exitCode).toBe(1);
    const commands = `${stdout}${stderr}`.split('\n').filter((line) => /^\s*::|##\[/.test(line));
    expect(commands).toHaveLength(1);
    expect(commands[0]).toMatch(/^::error file=specs\/hostile\.spec\.yaml,title=fail%3A hostile::/);
    const summary = readFileSync(join(cwd, 'summary.md'), 'utf8');
    expect(summary).toMatch(/^# Before\n## alcove-6, build reference\n/);
    expect(summary).toContain('| ▲ fail |');
  });

  it('keeps the run when the job summary is full or cannot be written', async () => {
    const cwd = desk({ 'specs/dims.spec.yaml': dims, 'summary.md': 'x'.repeat(1024 * 1024) });
    const full = { GITHUB_ACTIONS: 'true', GITHUB_STEP_SUMMARY: join(cwd, 'summary.md') };
    const ran = await evenfall(['run', 'specs'], { cwd, env: full });
    expect(ran.exitCode).toBe(0);
    expect(ran.stderr).toContain('the job summary is full');
    expect(statSync(join(cwd, 'summary.md')).size).toBe(1024 * 1024);
    const nowhere = { ...full, GITHUB_STEP_SUMMARY: join(cwd, 'no', 'such.md') };
    const again = await evenfall(['run', 'specs'], { cwd, env: nowhere });
    expect(again.exitCode).toBe(0);
    expect(again.stderr).toContain('cannot be written (ENOENT)');
  });
});

describe('what cannot be run gets a sentence and its exit code, and nothing is stored', () => {
  const lamp = readFileSync('specs/lamps/alcove-6.lamp.yaml', 'utf8');
  const cases: readonly {
    readonly what: string;
    readonly files?: Readonly<Record<string, string | Uint8Array>>;
    readonly args: readonly string[];
    readonly exitCode: number;
    readonly says: string;
  }[] = [
    {
      what: 'a fault that there is not',
      args: ['--fault', 'linear-diming'],
      exitCode: 64,
      says: 'no such seeded fault; did you mean "linear-dimming"?',
    },
    {
      what: 'a tag that no spec has',
      args: ['--tag', 'comit'],
      exitCode: 64,
      says: 'none of the 1 specs in specs has the tag comit; their tags are commit; did you mean "commit"?',
    },
    {
      what: 'a folder without specs',
      files: { 'specs/dims.spec.yaml': dims, 'readme.txt': '' },
      args: ['readme'],
      exitCode: 66,
      says: 'expected a file or folder at readme, found none',
    },
    {
      what: 'an empty folder',
      files: {},
      args: ['specs'],
      exitCode: 66,
      says: 'expected *.spec.yaml files in specs, found none',
    },
    {
      what: 'a rig file in the place of the lamp file',
      files: { 'specs/dims.spec.yaml': dims, 'b.rig.yaml': 'rig: b\nplace: bench\n' },
      args: ['specs', '--lamp', 'b.rig.yaml'],
      exitCode: 64,
      says: '--lamp: expected a lamp file, which begins with "lamp: NAME", but b.rig.yaml is a rig file; give it with --rig',
    },
    {
      what: 'a lamp file that is not there',
      args: ['--lamp', 'mine.lamp.yaml'],
      exitCode: 66,
      says: 'mine.lamp.yaml',
    },
    {
      what: 'a bad lamp file',
      files: {
        'specs/dims.spec.yaml': dims,
        'bad.lamp.yaml': lamp.replace(/bottom: .*/, 'bottom: 2 V'),
      },
      args: ['--lamp', 'bad.lamp.yaml'],
      exitCode: 65,
      says: 'bad.lamp.yaml:',
    },
    {
      what: 'two specs with one id',
      files: { 'specs/a.spec.yaml': dims, 'specs/b.spec.yaml': dims },
      args: [],
      exitCode: 65,
      says: 'specs/b.spec.yaml:1:1: ',
    },
    {
      what: 'a channel that the lamp has not',
      files: { 'specs/a.spec.yaml': dims.replace('of: warm', 'of: amber') },
      args: [],
      exitCode: 65,
      says: 'specs/a.spec.yaml:20:32: ',
    },
    {
      what: 'a condition that is not there to be substituted',
      files: { 'specs/a.spec.yaml': dims.replace('level: $level', 'level: $leval') },
      args: [],
      exitCode: 65,
      says: 'specs/a.spec.yaml:13:19: ',
    },
    {
      what: 'firmware that is no WebAssembly',
      files: { 'specs/dims.spec.yaml': dims, 'lamp.wasm': 'ELF?' },
      args: ['--firmware', 'lamp.wasm'],
      exitCode: 65,
      says: 'lamp.wasm is not a WebAssembly module',
    },
    {
      what: 'a fault of the firmware that is built in, with another one',
      files: { 'specs/dims.spec.yaml': dims, 'lamp.wasm': idle },
      args: ['--firmware', 'lamp.wasm', '--fault', 'fade-cut-short', '--fault', 'weak-channel'],
      exitCode: 64,
      says: '--fault fade-cut-short is a defect of the firmware that is built in, and it cannot act in lamp.wasm',
    },
    {
      what: 'firmware that is not there',
      args: ['--firmware', 'lamp.wasm'],
      exitCode: 66,
      says: 'expected a WebAssembly build of the firmware at lamp.wasm, found none (ENOENT)',
    },
    {
      what: 'a seed that is out of range',
      args: ['--seed', '4294967296'],
      exitCode: 64,
      says: 'expected a whole number from 0 to 4294967295, found "4294967296"',
    },
    {
      what: 'a seed that is no whole number',
      args: ['--seed', '1.5'],
      exitCode: 64,
      says: 'found "1.5"',
    },
    {
      what: 'no jobs at all',
      args: ['--jobs', '0'],
      exitCode: 64,
      says: 'expected a whole number from 1, found "0"',
    },
    {
      what: 'retries that are no number',
      args: ['--retries', 'two'],
      exitCode: 64,
      says: 'expected a whole number, found "two"',
    },
    {
      what: 'a folder for runs that is a file',
      files: { 'specs/dims.spec.yaml': dims, taken: '' },
      args: ['--out', 'taken/reports'],
      exitCode: 73,
      says: 'taken/reports',
    },
  ];

  it.each(cases.map((one) => [one.what, one] as const))('%s', async (_what, one) => {
    const { files, args, exitCode, says } = one;
    const cwd = desk(files ?? { 'specs/dims.spec.yaml': dims });
    const ended = await evenfall(
      ['run', ...(args[0]?.startsWith('--') ? ['specs'] : []), ...args],
      {
        cwd,
      },
    );
    expect(ended.stderr).toContain(says);
    expect(ended.stderr).not.toContain('unexpected error');
    expect(ended.exitCode).toBe(exitCode);
    expect(ended.stdout).toBe('');
    expect(() => runsIn(cwd)).toThrow('ENOENT');
  });

  it('a folder that nobody may write to', async () => {
    // The superuser may write anywhere but to the kernel's own tree.
    const root = process.getuid?.() === 0;
    const cwd = desk({ 'specs/dims.spec.yaml': dims });
    mkdirSync(join(cwd, 'locked'));
    chmodSync(join(cwd, 'locked'), 0o555);
    const out = root ? '/proc/evenfall' : join(cwd, 'locked', 'reports');
    const { exitCode, stderr } = await evenfall(['run', 'specs', '--out', out], { cwd });
    expect(stderr).toContain(out);
    expect(exitCode).toBe(73);
  });
});

describe('run --firmware-log', () => {
  it('prints what the firmware logged under the name of its condition, and stores it either way', async () => {
    const chatty = buildSource('sources/chatty.c', ['-DMAIN_LOOP']);
    const cwd = desk({
      'specs/one.spec.yaml': dimmingSpec('one', ['50 %']),
      'chatty.wasm': chatty,
    });
    const run = ['run', 'specs', '--firmware', 'chatty.wasm'];
    const { stderr } = await evenfall([...run, '--firmware-log'], { cwd });
    expect(stderr).toMatch(
      /^one, level 50 %: the firmware said \d+ lines\n {2}-?\d+\.\d{6} s {2}to sleep$/m,
    );
    expect((await evenfall(run, { cwd })).stderr).not.toContain('to sleep');
    for (const folder of runsIn(cwd))
      expect(recordIn(folder).specs[0]?.conditions[0]?.firmwareLog?.[0]?.lines[0]?.text).toBe(
        'to sleep',
      );
  });
});

describe('firmware that goes wrong', () => {
  it('fails its claim when it never returns, and the next condition is run all the same', async () => {
    // Its console knows an endless loop by the letter l.
    const spins = dims.replace('stimulus:\n', 'stimulus:\n  - send: { console: l }\n');
    const wasm = buildSource('sources/broken.c');
    const cwd = desk({ 'specs/dims.spec.yaml': spins, 'spin.wasm': wasm });
    const { exitCode, stdout } = await evenfall(
      ['run', 'specs', '--firmware', 'spin.wasm', '--jobs', '1'],
      { cwd },
    );
    expect(stdout).toContain('did not come back');
    expect(exitCode).toBe(1);
    const { conditions } = recordIn(runsIn(cwd)[0]!).specs[0]!;
    expect(conditions.map(({ verdict, attempts }) => [verdict, attempts])).toEqual([
      ['fail', 1],
      ['fail', 1],
    ]);
  });
});

describe.skipIf(!canMount())(
  'a full disk (skipped where a small file system cannot be mounted)',
  () => {
    it('is told in a sentence, and what was stored is sound', async () => {
      const cwd = desk({ 'specs/dims.spec.yaml': dims });
      const call = `'${process.execPath}' '${mainFile}' run specs --jobs 1 --out /mnt; echo "code $?"`;
      const look = 'ls /mnt; tail -c 200 /mnt/*/run.json';
      const mounted = `mount -t tmpfs -o size=64k none /mnt && { ${call}; ${look}; }`;
      const { stdout, stderr } = spawnSync('unshare', ['-rm', 'sh', '-c', mounted], {
        cwd,
        encoding: 'utf8',
      });
      expect(stderr).toContain('no space left (ENOSPC); what was stored before is sound');
      expect(stdout).toContain('code 73');
      // The folder and its record are there: `run --resume` goes on when there is room again.
      expect(stdout).toMatch(/Z-alcove-6-reference-/);
      expect(stdout).toContain('the run has not ended');
    });
  },
);

function canMount(): boolean {
  const mount = 'mount -t tmpfs -o size=64k none /mnt';
  return spawnSync('unshare', ['-rm', 'sh', '-c', mount]).status === 0;
}
