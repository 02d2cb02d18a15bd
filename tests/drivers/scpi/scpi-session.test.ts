import { afterEach, describe, expect, it } from 'vitest';
import { ScpiSession } from '../../../drivers/scpi/session.ts';
import { openTcpPort } from '../../../drivers/transport/tcp-port.ts';
import type { Call } from '../../../harness/bench/ports.ts';
import { type Answer, FakeInstrument } from './fake-instrument.ts';

const profile = {
  identify: '*IDN?',
  errors: { query: 'SYST:ERR?', most: 30 },
  open: ['*CLS'],
};
const identity = 'Tarn,X1,SN7,1.0';
const call = (deadline = 2): Call => ({ signal: new AbortController().signal, deadline });

const started: { fake: FakeInstrument; session: ScpiSession }[] = [];
afterEach(async () => {
  for (const { fake, session } of started.splice(0)) {
    await session.close();
    await fake.stop();
  }
});

/** A well-behaved instrument but for what `special` answers. */
async function start(special: (line: string) => Answer | undefined = () => undefined) {
  const fake = await FakeInstrument.start((line) => {
    const own = special(line);
    if (own !== undefined) return own;
    if (line === '*IDN?') return identity;
    if (line === 'SYST:ERR?') return '0,"No error"';
    return line.endsWith('?') ? '1' : null;
  });
  const session = new ScpiSession('meter', profile, (signal) =>
    openTcpPort('127.0.0.1', fake.port, signal),
  );
  started.push({ fake, session });
  return { fake, session };
}

describe('a conversation with a SCPI instrument', () => {
  it('never takes a late reply for the answer to the next query', async () => {
    let first = true;
    const giveUp = new AbortController();
    const { fake, session } = await start((line) => {
      if (line !== 'MEAS?') return undefined;
      if (!first) return '2';
      first = false;
      giveUp.abort();
      return (socket) => void setTimeout(() => socket.writable && socket.write('666\n'), 20);
    });
    const asked = session.use({ signal: giveUp.signal, deadline: 60 }, ({ ask }) => ask('MEAS?'));
    await expect(asked).rejects.toMatchObject({ kind: 'cancelled' });
    await new Promise((resolve) => setTimeout(resolve, 50));
    expect(await session.use(call(), ({ ask }) => ask('MEAS?'))).toBe('2');
    expect(fake.connections).toBe(2);
  });

  it('compares the identity after every new connection', async () => {
    let who = identity;
    const { fake, session } = await start((line) => (line === '*IDN?' ? who : undefined));
    await session.identify(call());
    who = 'Tarn,X1,SN8,1.0';
    for (const socket of fake.sockets) socket.destroy();
    await new Promise((resolve) => setTimeout(resolve, 30));
    const again = session.use(call(), ({ ask }) => ask('MEAS?'));
    await expect(again).rejects.toMatchObject({ kind: 'identity-mismatch', instrument: 'meter' });
  });

  it('reads blocks whole, with line feeds in their data and in pieces', async () => {
    const data = Buffer.alloc(1000, 0x0a);
    const { session } = await start((line) =>
      line === 'DATA?'
        ? (socket) => {
            const reply = Buffer.concat([Buffer.from('#41000'), data, Buffer.from('\n')]);
            let at = 0;
            const drip = (): void => {
              socket.write(reply.subarray(at, (at += 300)));
              if (at < reply.length) setTimeout(drip, 5);
            };
            drip();
          }
        : undefined,
    );
    const block = await session.use(call(), ({ askBlock }) => askBlock('DATA?'));
    expect(block.equals(data)).toBe(true);
    expect(await session.use(call(), ({ ask }) => ask('MEAS?'))).toBe('1');
  });

  it.each([
    ['a block without its end', '#41000abc'],
    ['a block of indefinite length', '#0abc\n'],
    ['no block', 'hello\n'],
    ['a length that is none', '#4x000\n'],
    ['a block that is longer than it says', '#13abcdef\n'],
  ])('refuses %s', async (_, reply) => {
    const { session } = await start((line) => (line === 'DATA?' ? Buffer.from(reply) : undefined));
    const asked = session.use(call(0.2), ({ askBlock }) => askBlock('DATA?'));
    await expect(asked).rejects.toMatchObject({ name: 'BenchError' });
    expect(await session.use(call(), ({ ask }) => ask('MEAS?'))).toBe('1');
  });

  it('tells what the error queue holds after a set-up', async () => {
    const queue: string[] = [];
    const { session } = await start((line) => {
      if (line === 'BAD 1') queue.push('-113,"Undefined header"', '-222,"Data out of range"');
      return line === 'SYST:ERR?' ? (queue.shift() ?? '0,"No error"') : undefined;
    });
    const refused = session.use(call(), ({ setUp }) => setUp(['BAD 1']));
    await expect(refused).rejects.toMatchObject({ kind: 'refused' });
    await expect(refused).rejects.toThrow(/BAD 1.*Undefined header.*out of range/);
  });

  it('notices that the instrument was switched off and on in between', async () => {
    let rebooted = false;
    const { session } = await start((line) => {
      if (line !== 'SYST:ERR?') return undefined;
      if (!rebooted) return '0,"No error"';
      rebooted = false;
      return '-500,"Power on"';
    });
    await session.identify(call());
    rebooted = true;
    const setUp = session.use(call(), ({ setUp: send }) => send(['VOLT 1']));
    await expect(setUp).rejects.toThrow(/switched off and on in between/);
  });

  it('gives up an error queue that never ends', async () => {
    let endless = false;
    const { session } = await start((line) =>
      line === 'SYST:ERR?' && endless ? '-100,"Command error"' : undefined,
    );
    await session.identify(call());
    endless = true;
    const setUp = session.use(call(), ({ setUp: send }) => send(['VOLT 1']));
    await expect(setUp).rejects.toThrow(/not empty after 30/);
  });

  it('refuses to go on with an instrument that talks unasked', async () => {
    const { fake, session } = await start();
    await session.identify(call());
    for (const socket of fake.sockets) socket.write('surprise\n');
    await new Promise((resolve) => setTimeout(resolve, 30));
    const asked = session.use(call(), ({ ask }) => ask('MEAS?'));
    await expect(asked).rejects.toMatchObject({ kind: 'garbled' });
    expect(await session.use(call(), ({ ask }) => ask('MEAS?'))).toBe('1');
  });

  it('rejects at once when it is cancelled or closed, and never again answers when closed', async () => {
    const { session } = await start((line) => (line === 'SLOW?' ? null : undefined));
    const cancel = new AbortController();
    const asked = session.use({ signal: cancel.signal, deadline: 60 }, ({ ask }) => ask('SLOW?'));
    setTimeout(() => cancel.abort(), 50);
    await expect(asked).rejects.toMatchObject({ kind: 'cancelled' });
    const pending = session.use(call(60), ({ ask }) => ask('SLOW?'));
    setTimeout(() => void session.close(), 50);
    await expect(pending).rejects.toMatchObject({ kind: 'closed' });
    await expect(session.identify(call())).rejects.toMatchObject({ kind: 'closed' });
  });

  it('says what to look at when nobody is there', async () => {
    const { fake, session } = await start();
    await fake.stop();
    await expect(session.identify(call())).rejects.toThrow(/ECONNREFUSED.*check its cable/);
  });
});
