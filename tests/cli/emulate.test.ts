import { lstatSync, readlinkSync } from 'node:fs';
import { open } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { converse } from '../drivers/emulate/converse.ts';
import { buildAlcove } from '../firmware/build-firmware.ts';
import { evenfall, Running } from './program.ts';
import { desk } from './small-specs.ts';

const patience = { timeout: 60_000 };
/** Ports of the system's choice: other emulations may be running. */
const free = ['--port-base', '0', '--sacn-port', '0', '--console-link', 'console'];

describe('evenfall emulate', () => {
  it(
    'prints each port and a ready line, answers, and ends cleanly at Ctrl-C',
    patience,
    async () => {
      const cwd = desk({});
      const running = new Running(['emulate', ...free], { cwd });
      let printed = '';
      await running.until((stdout) => {
        printed = stdout;
        return stdout.includes('ready: alcove-6');
      });
      const names = printed.split('\n').map((line) => line.split(' ')[0]);
      expect(names.slice(0, 8)).toEqual([
        'digitiser',
        'supply',
        'colour-sensor',
        'console',
        'console',
        'webpage',
        'dali',
        'sacn',
      ]);
      const port = Number(/^supply +tcp 127\.0\.0\.1:(\d+)/m.exec(printed)![1]);
      const supply = await converse(port);
      expect(await supply.ask('*IDN?')).toBe('Tarn,P60,EM-0002,1.0');
      supply.end();
      expect(readlinkSync(join(cwd, 'console'))).toMatch(/^\/dev\/pts\/\d+$/);
      const url = /^webpage +(\S+)/m.exec(printed)![1]!;
      expect(await (await fetch(url)).text()).toContain('<h1>alcove-6</h1>');
      running.child.kill('SIGINT');
      const { exitCode, stderr } = await running.ended;
      expect(exitCode).toBe(0);
      expect(stderr).toBe('Emulated bench closed.\n');
      expect(lstatSync(join(cwd, 'console'), { throwIfNoEntry: false })).toBeUndefined();
    },
  );

  it('runs firmware of the user behind a socket and a pseudo-terminal', patience, async () => {
    const cwd = desk({ 'lamp.wasm': buildAlcove('../probes') });
    const running = new Running(['emulate', ...free, '--firmware', 'lamp.wasm'], { cwd });
    let printed = '';
    await running.until((stdout) => (printed = stdout).includes('ready: alcove-6'));
    expect(printed).toContain('simulated, running lamp.wasm; Ctrl-C ends it');
    const portOf = (name: string) =>
      Number(new RegExp(`^${name} +tcp 127\\.0\\.0\\.1:(\\d+)`, 'm').exec(printed)![1]);
    const supply = await converse(portOf('supply'));
    for (const order of ['VOLT 48', 'CURR 3', 'OUTP ON']) supply.tell(order);
    expect(await supply.ask('OUTP?')).toBe('1');
    const dim = 'dim 50.00000 mix 100.00000 0.00000 0.00000 0.00000 0.00000 0.00000';
    // This build, and no other, says how many lines it has obeyed.
    const socket = await converse(portOf('console'));
    expect(await socket.ask(dim)).toBe('probe lines 1');
    const terminal = await open(join(cwd, 'console'), 'r+');
    await terminal.write(`${dim}\n`);
    let said = '';
    while (!said.includes('probe lines 2')) {
      const { bytesRead, buffer } = await terminal.read(Buffer.alloc(64), 0, 64, null);
      said += buffer.toString('latin1', 0, bytesRead);
    }
    await terminal.close();
    for (const { end } of [supply, socket]) end();
    running.child.kill('SIGINT');
    expect((await running.ended).exitCode).toBe(0);
  });

  it('leaves a file alone that lies where the link should', patience, async () => {
    const cwd = desk({ console: 'mine' });
    const running = new Running(['emulate', ...free], { cwd });
    await running.until((stdout) => stdout.includes('ready'));
    running.child.kill('SIGTERM');
    expect((await running.ended).stderr).toContain('exists and is no link; it is left alone');
    expect(lstatSync(join(cwd, 'console')).isFile()).toBe(true);
  });

  it('says which port is taken, and exits with 69', patience, async () => {
    const cwd = desk({});
    const first = new Running(['emulate', ...free], { cwd });
    let printed = '';
    await first.until((stdout) => (printed = stdout).includes('ready'));
    const port = /^digitiser +tcp 127\.0\.0\.1:(\d+)/m.exec(printed)![1]!;
    const second = await evenfall(['emulate', '--port-base', port, '--sacn-port', '0'], { cwd });
    first.child.kill('SIGINT');
    await first.ended;
    expect(second.exitCode).toBe(69);
    expect(second.stderr).toMatch(/EADDRINUSE.*choose other ports with --port-base/);
  });

  it.each([
    [['--trouble', 'silense'], 64, /no such trouble: "silense"; did you mean "silence"\?/],
    [['--trouble', 'late,on=scope'], 64, /no instrument "scope"; there are: digitiser/],
    [['--fault', 'fade-cut'], 64, /no such seeded fault/],
    [['--port-base', '70000'], 64, /expected a whole number from 0 to 65530, found "70000"/],
    [['--firmware', 'none.wasm'], 66, /expected a WebAssembly build of the firmware at none\.wasm/],
    [['--speed', '0'], 64, /expected a factor from 0\.01 to 100/],
    [
      ['--lamp', 'none.lamp.yaml'],
      66,
      /expected a file that can be read at none\.lamp\.yaml, found none \(ENOENT\)/,
    ],
  ] as const)('refuses %j', patience, async (args, code, words) => {
    const { exitCode, stderr } = await evenfall(['emulate', ...free, ...args], { cwd: desk({}) });
    expect(stderr).toMatch(words);
    expect(exitCode).toBe(code);
  });
});
