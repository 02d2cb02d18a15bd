import { createServer, type Server, type Socket } from 'node:net';
import { afterEach, expect, test } from 'vitest';
import { consoleDriver } from '../../../drivers/console/console-driver.ts';
import { withoutProbes } from '../../../drivers/console/probe-lines.ts';
import { RealClock } from '../../../drivers/real-clock.ts';
import { SentLog } from '../../../drivers/sent-log.ts';
import type { BytePort } from '../../../drivers/transport/byte-port.ts';
import { lamp } from '../../firmware/judge.ts';

/** What is handed on, and what is told, of pieces that come in one after another. */
function heard(...pieces: readonly string[]) {
  let data: (bytes: Uint8Array) => void = () => {};
  const port: BytePort = {
    address: 'here',
    listen: (listener) => {
      data = (bytes) => listener.data(bytes);
    },
    write: () => Promise.resolve(),
    close: () => Promise.resolve(),
  };
  const told: unknown[] = [];
  const rest: string[] = [];
  withoutProbes(port, ({ name, value, unit }) => told.push([name, value, unit])).listen({
    data: (bytes) => rest.push(Buffer.from(bytes).toString()),
    gone: () => {},
  });
  for (const piece of pieces) data(Buffer.from(piece));
  return { told, rest };
}

test('a probe is told and taken out, wherever it stands between other lines', () => {
  const { told, rest } = heard('ok\nprobe fade-position 12.5 %\r\nprobe state -3e2\nok\n');
  expect(told).toEqual([
    ['fade-position', 12.5, '%'],
    ['state', -300, ''],
  ]);
  expect(rest.join('')).toBe('ok\nok\n');
});

test('one that comes byte by byte is none the less one', () => {
  const { told, rest } = heard(...'probe level 1 %\nok\n');
  expect(told).toEqual([['level', 1, '%']]);
  expect(rest.join('')).toBe('ok\n');
});

test('what is no probe goes through at once, as soon as it can be none', () => {
  expect(heard('ok').rest).toEqual(['ok']);
  expect(heard('pro', 'gress').rest).toEqual(['progress']);
  expect(heard('> probe level 1\n').told).toEqual([]);
});

test.each([
  'probe level\n',
  'probe level one %\n',
  'probe Level 1 %\n',
  'probe level 1 % more\n',
  'probe level 1e999 %\n',
  'probe  level 1\n',
  `probe level ${'1'.repeat(200)}\n`,
])('%j is a line like every other', (line) => {
  const { told, rest } = heard(line);
  expect(told).toEqual([]);
  expect(rest.join('')).toBe(line);
});

const servers: Server[] = [];
afterEach(() => {
  for (const server of servers.splice(0)) server.close();
});

/** A console over TCP that says `before` and then `ok` to each line. */
async function consoleSaying(before: string): Promise<number> {
  const answer = (socket: Socket) => socket.on('data', () => socket.write(`${before}ok\n`));
  const server = createServer((socket) => void answer(socket));
  servers.push(server);
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const address = server.address();
  if (address === null || typeof address === 'string') throw new Error('it has no port');
  return address.port;
}

test('a link takes the answer behind a probe, and the bench has the probe with its instant', async () => {
  const port = await consoleSaying('probe level 50 %\n');
  const [clock, log] = [new RealClock(), new SentLog()];
  const entry = {
    ...{ name: 'console', driver: 'console', identity: {}, limits: {}, deadline: 5, retries: 0 },
    settings: { address: { kind: 'tcp' as const, host: '127.0.0.1', port } },
  };
  const link = await consoleDriver.open(entry, { lamp, clock, log } as never);
  if (link.kind !== 'lamp-link') throw new Error(link.kind);
  const from = clock.now();
  const call = { signal: new AbortController().signal, deadline: 5 };
  const intensities = Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1]));
  await link.set({ level: 0.5, intensities }, call);
  expect(link.besides ?? []).toEqual([]);
  const [track, ...others] = log.probes();
  expect(others).toEqual([]);
  expect(track).toMatchObject({ name: 'level', unit: '%', values: [50], late: 0.02 });
  expect(track?.at[0]).toBeGreaterThan(from);
  expect(track?.at[0]).toBeLessThanOrEqual(clock.now());
  log.forgetProbes();
  expect(log.probes()).toEqual([]);
  await link.close();
});
