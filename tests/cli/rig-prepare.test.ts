import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Emulation } from '../../drivers/plant/emulate/emulation.ts';
import { openTestEmulation } from '../drivers/emulate/open-test-bench.ts';
import { outputIsOn, writeRig } from './emulated-rig.ts';
import { evenfall } from './program.ts';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

let emulation: Emulation;
beforeAll(async () => {
  emulation = await openTestEmulation();
});
afterAll(async () => {
  await emulation?.close();
});

/** A program that keeps what it was told, and whether the lamp's supply was on then. */
const flash = `
import { readFileSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
const order = JSON.parse(readFileSync(0, 'utf8'));
const socket = connect(Number(process.argv[2]), '127.0.0.1', () => socket.write('OUTP?\\n'));
socket.once('data', (bytes) => {
  writeFileSync('told.json', JSON.stringify({ ...order, output: bytes.toString().trim() }));
  console.log('erased\\nverified ' + order.build);
  socket.destroy();
});
`;

function place(steps: string) {
  const cwd = desk({
    'specs/dims.spec.yaml': dimmingSpec('dims', ['50 %'], '', '250 ms'),
    'flash.mjs': flash,
  });
  const supply = emulation.endpoints.find(({ name }) => name === 'supply')?.port ?? 0;
  const patient = (text: string): string =>
    text.replace(/(\n {4}driver: (?:console|dali|scpi)\n)/g, '$1    retries: 3\n');
  const rig = writeRig(emulation, cwd, (text) =>
    patient(`${text}\nprepare:\n${steps.replaceAll('PORT', String(supply))}`),
  );
  const env = { EVENFALL_LOCKS: join(cwd, 'locks') };
  const run = () => evenfall(['run', 'specs', '--rig', rig, '--retries', '5'], { cwd, env });
  return { cwd, run, locks: env.EVENFALL_LOCKS };
}

describe('steps that prepare the lamp', () => {
  it('are taken with power on the lamp, are told what is tested, and stand in the record', async () => {
    const { cwd, run } = place(
      '  - { step: flash, command: [node, flash.mjs, "PORT"], within: 30 s, expect: verified }\n',
    );
    const { exitCode, stderr } = await run();
    expect(exitCode, stderr).toBe(0);
    expect(stderr).toContain('Preparing the lamp: flash\n');
    expect(JSON.parse(readFileSync(join(cwd, 'told.json'), 'utf8'))).toEqual({
      ...{ do: 'prepare', step: 'flash', lamp: 'alcove-6', build: null, serial: null },
      output: '1',
    });
    const [folder = ''] = runsIn(cwd);
    expect(recordIn(folder).rig.notes['prepared: flash']).toMatch(/^\d+\.\d s: verified null$/);
  });

  it.each([
    [
      'ends with another code',
      '[node, -e, "console.error(1/0); process.exit(4)"]',
      'ended with 4: Infinity',
    ],
    [
      'takes too long',
      '[node, -e, "setTimeout(() => {}, 60000)"], within: 1 s',
      'took longer than 1 s',
    ],
    ['is not there', '[no-such-flasher]', 'no-such-flasher did not start'],
    [
      'says something else',
      '[node, -e, "console.log(17)"], expect: verified',
      'was to say "verified", and said "17"',
    ],
  ])(
    'end the run before the first claim where one %s, with a safe bench',
    async (_, command, words) => {
      const { cwd, run, locks } = place(`  - { step: flash, command: ${command} }\n`);
      const { exitCode, stderr } = await run();
      expect(stderr).toContain(words);
      expect(stderr).toContain('Nothing was run');
      expect(exitCode).toBe(3);
      expect(existsSync(join(cwd, 'reports'))).toBe(false);
      expect(await outputIsOn(emulation)).toBe(false);
      expect(readdirSync(locks)).toEqual([]);
    },
  );

  it('of one name are refused by the rig file', async () => {
    const { cwd } = place('  - { step: a, command: [x] }\n  - { step: a, command: [y] }\n');
    const { exitCode, stdout, stderr } = await evenfall(
      ['check', 'specs', '--rig', 'bench.rig.yaml'],
      { cwd },
    );
    expect(stdout + stderr).toContain('two steps have the same name; give each its own');
    expect(exitCode).toBe(65);
  });
});
