import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { build } from 'esbuild';
import { expect, it } from 'vitest';
import { scratchFolders } from '../archive/scratch.ts';

const scratch = scratchFolders();
const root = join(import.meta.dirname, '../..');

/** What `code` says on stderr in a folder where neither serialport nor koffi is installed. */
async function complaintOf(code: string): Promise<string> {
  const outfile = join(scratch(), 'program.mjs');
  await build({
    stdin: { contents: code, resolveDir: root, loader: 'ts' },
    bundle: true,
    platform: 'node',
    format: 'esm',
    external: ['serialport', 'koffi'],
    outfile,
    logLevel: 'error',
  });
  return spawnSync(process.execPath, [outfile], { encoding: 'utf8' }).stderr;
}

it('a serial port is refused in a sentence where its code does not load', async () => {
  const said = await complaintOf(`
    import { openSerialLine } from './drivers/transport/serial-byte-port.ts';
    const setup = { path: '/dev/ttyUSB7', baud: 115200 };
    await openSerialLine(setup, new AbortController().signal).catch((e) => console.error(e.message));
  `);
  expect(said).toMatch(
    /^\/dev\/ttyUSB7 cannot be opened: the code for serial ports does not load on this computer \(.*Node v.*\): .*'serialport'.*; run npm ci again, or connect over TCP\n$/,
  );
});

it('a pseudo-terminal is refused in a sentence where its code does not load', async () => {
  const said = await complaintOf(`
    import { PseudoTerminal } from './drivers/plant/emulate/pseudo-terminal.ts';
    try { new PseudoTerminal(() => {}); } catch (e) { console.error((e as Error).message); }
  `);
  expect(said).toMatch(
    /^no pseudo-terminal: the code that asks the system for one does not load on this computer \(.*Node v.*\): .*'koffi'.*; run npm ci again\n$/,
  );
});
