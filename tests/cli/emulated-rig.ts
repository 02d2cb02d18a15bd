import { readFileSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { join, resolve } from 'node:path';
import type { Emulation } from '../../drivers/plant/emulate/emulation.ts';

const rigs = resolve(import.meta.dirname, '../../specs/rigs');

/** Writes the shipped rig file of the emulated bench into `folder`, pointed at this emulation. */
export function writeRig(
  { endpoints }: Emulation,
  folder: string,
  change: (text: string) => string = (text) => text,
): string {
  let text = readFileSync(join(rigs, 'emulated.rig.yaml'), 'utf8').replace(
    /profile: /g,
    `profile: ${rigs}/`,
  );
  for (const { name, port, address } of endpoints) {
    if (port === 0 || address.startsWith('http')) continue;
    const place = new RegExp(
      `(\\n  ${name}:\\n(?:    .*\\n)*?    (?:address|to): )(tcp://)?[^\\s#]+`,
    );
    text = text.replace(place, `$1$2127.0.0.1:${port}`);
  }
  const file = join(folder, 'bench.rig.yaml');
  writeFileSync(file, change(text));
  return file;
}

/** Asks the emulated supply itself whether its output is on. */
export function outputIsOn({ endpoints }: Emulation): Promise<boolean> {
  const { port } = endpoints.find(({ name }) => name === 'supply')!;
  return new Promise((done, reject) => {
    const socket = connect(port, '127.0.0.1', () => socket.write('OUTP?\n'));
    socket.on('error', reject);
    socket.once('data', (bytes) => {
      socket.destroy();
      done(bytes.toString().trim() === '1');
    });
  });
}
