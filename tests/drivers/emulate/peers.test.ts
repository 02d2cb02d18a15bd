import { execFile } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { Receiver, Sender } from 'sacn';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import { encodeSacn } from '../../../drivers/sacn/packet.ts';
import { sacnDriver } from '../../../drivers/sacn/sacn-driver.ts';
import { lamp } from '../conformance/shipped-bench.ts';
import { instrumentOf } from '../instrument-of.ts';
import { openInstrument, openTestEmulation, rigFor } from './open-test-bench.ts';

const run = promisify(execFile);
const python = '/usr/bin/python3';

/** A program of Debian's is there, or the tests that need it say why they are left out. */
async function works(program: string, args: readonly string[]): Promise<boolean> {
  if (!existsSync(program)) return false;
  return run(program, args).then(
    () => true,
    () => false,
  );
}

const hasVisa = await works(python, ['-c', 'import pyvisa, pyvisa_py']);
const hasTshark = (await works('/usr/bin/tshark', ['-v'])) && existsSync('/usr/bin/text2pcap');

const visaScript = `
import json, sys, pyvisa
resource = pyvisa.ResourceManager('@py').open_resource(
    'TCPIP::127.0.0.1::%s::SOCKET' % sys.argv[1], read_termination='\\n', write_termination='\\n')
resource.timeout = 5000
found = {'identity': resource.query('*IDN?')}
resource.write('*CLS')
resource.write('NONSENSE')
found['error'] = resource.query('SYST:ERR?')
found['empty'] = resource.query('SYST:ERR?')
for line in ['FORM:BORD SWAP', 'ROUT:SCAN NONE', 'ROUT:SCAN:ADD 11', 'ACQ:RATE 10000', 'ACQ:POIN 2570', 'INP11:RANG 0.5', 'INIT']:
    resource.write(line)
found['finished'] = resource.query('*OPC?')
codes = resource.query_binary_values('WAV:DATA? 11', datatype='h', is_big_endian=False)
found['codes'] = codes
found['after'] = resource.query('SYST:ERR?')
print(json.dumps(found))
`;

let emulation: Emulation;
let folder: string;
beforeAll(async () => {
  emulation = await openTestEmulation();
  await emulation.live.setSource(48);
  await emulation.live.setPower(true);
  folder = await mkdtemp(join(tmpdir(), 'evenfall-peers-'));
});
afterAll(async () => {
  await emulation.close();
  await rm(folder, { recursive: true });
});

describe('an instrument-control client from Debian (python3-pyvisa-py)', () => {
  it.skipIf(!hasVisa)(
    'reads identity, error queue and a block with line feeds from the emulated digitiser (left out where python3-pyvisa-py is not installed)',
    { timeout: 60_000 },
    async () => {
      const { port } = emulation.endpoints.find(({ name }) => name === 'digitiser')!;
      const { stdout } = await run(python, ['-c', visaScript, String(port)]);
      const found = JSON.parse(stdout);
      expect(found.identity).toBe('Tarn,D16,EM-0001,1.0');
      expect(found.error).toBe('-113,"Undefined header;NONSENSE"');
      expect([found.empty, found.after]).toEqual(['0,"No error"', '0,"No error"']);
      expect(found.finished).toBe('1');
      expect(found.codes).toHaveLength(2570);
      const bytes = Buffer.from(Int16Array.from(found.codes as number[]).buffer);
      expect(bytes.includes(0x0a)).toBe(true);
    },
  );
});

const packet = encodeSacn({
  cid: Uint8Array.from({ length: 16 }, (_, index) => 0xa0 + index),
  sourceName: 'Evenfall',
  priority: 120,
  syncAddress: 0,
  sequence: 42,
  preview: true,
  terminated: false,
  forceSync: false,
  universe: 7,
  startCode: 0,
  slots: Uint8Array.from([1, 2, 3, 255]),
});

describe('a packet dissector from Debian (tshark)', () => {
  it.skipIf(!hasTshark)(
    'decodes our packet field by field (left out where tshark is not installed)',
    { timeout: 60_000 },
    async () => {
      const hex = [...packet].map((byte) => byte.toString(16).padStart(2, '0'));
      const lines = Array.from({ length: Math.ceil(hex.length / 16) }, (_, row) => {
        const offset = (16 * row).toString(16).padStart(6, '0');
        return `${offset} ${hex.slice(16 * row, 16 * row + 16).join(' ')}`;
      });
      const text = join(folder, 'packet.txt');
      const capture = join(folder, 'packet.pcap');
      await writeFile(text, `${lines.join('\n')}\n`);
      await run('/usr/bin/text2pcap', ['-u', '5568,5568', text, capture]);
      const fields = [
        'universe',
        'priority',
        'seq_number',
        'source_name',
        'option_p',
        'option_s',
        'count',
      ];
      const { stdout } = await run('/usr/bin/tshark', [
        ...[
          '-r',
          capture,
          '--enable-heuristic',
          'acn',
          '-o',
          'acn.dmx_enable:TRUE',
          '-T',
          'fields',
        ],
        ...fields.flatMap((field) => ['-e', `acn.dmx.${field}`]),
      ]);
      const found = stdout.trim().split('\t');
      expect(found.slice(0, 3).map(Number)).toEqual([7, 120, 42]);
      expect(found[3]).toBe('Evenfall');
      expect(found.slice(4, 6).map((flag) => /^(1|True)$/.test(flag))).toEqual([true, false]);
      expect(Number(found[6])).toBe(5);
    },
  );
});

describe('an sACN library from npm (sacn)', () => {
  it('lights the emulated lamp', { timeout: 20_000 }, async () => {
    const { port } = emulation.endpoints.find(({ name }) => name === 'sacn')!;
    const sender = new Sender({
      universe: 7,
      port,
      useUnicastDestination: '127.0.0.1',
      defaultPacketOptions: { sourceName: 'peer', useRawDmxValues: true },
    });
    await wait(400);
    expect(emulation.live.simulation.dark()).toBe(true);
    // 16 bits each: level in slots 1 and 2, then the channels, all at full.
    const payload = Object.fromEntries(Array.from({ length: 14 }, (_, k) => [k + 1, 255]));
    for (let count = 0; count < 3; count++) await sender.send({ payload });
    await wait(300);
    expect(emulation.live.simulation.dark()).toBe(false);
    const dark = Object.fromEntries(Array.from({ length: 14 }, (_, k) => [k + 1, 0]));
    for (let count = 0; count < 3; count++) await sender.send({ payload: dark });
    await wait(300);
    expect(emulation.live.simulation.dark()).toBe(true);
    sender.close();
  });

  it('receives what our driver sends: universe, priority, sequence, slots', async () => {
    const received: { priority: number; sequence: number; first: number }[] = [];
    const port = 20_000 + (process.pid % 20_000);
    const receiver = new Receiver({ universes: [7], port, iface: '127.0.0.1', reuseAddr: true });
    await wait(300);
    receiver.on('packet', ({ priority, sequence, payloadAsBuffer }) => {
      received.push({ priority, sequence, first: payloadAsBuffer?.[0] ?? -1 });
    });
    const rig = rigFor(emulation);
    const own = rig.instruments.map((instrument) =>
      instrument.name === 'sacn'
        ? instrumentOf(sacnDriver, { to: `127.0.0.1:${port}`, priority: 120 })
        : instrument,
    );
    const link = await openInstrument({ ...rig, instruments: own }, 'sacn');
    if (link.kind !== 'lamp-link') throw new Error('a link expected');
    const call = { signal: new AbortController().signal, deadline: 5 };
    const intensities = Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1]));
    await link.set({ level: 1, intensities }, call);
    await wait(300);
    await link.close();
    receiver.close();
    expect(received.length).toBeGreaterThanOrEqual(3);
    expect(received[0]).toMatchObject({ priority: 120, first: 255 });
    const steps = received
      .slice(1)
      .map(({ sequence }, k) => (sequence - received[k]!.sequence) & 0xff);
    expect(steps.every((step) => step === 1)).toBe(true);
  });
});

function wait(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}
