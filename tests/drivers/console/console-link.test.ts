import { afterEach, describe, expect, it } from 'vitest';
import { consoleDriver } from '../../../drivers/console/console-driver.ts';
import { PseudoTerminal } from '../../../drivers/plant/emulate/pseudo-terminal.ts';
import { RealClock } from '../../../drivers/real-clock.ts';
import { LampFailure } from '../../../harness/bench/errors.ts';
import type { Call, LampLink } from '../../../harness/bench/ports.ts';
import { emulatedRig, lamp } from '../conformance/shipped-bench.ts';
import { instrumentOf } from '../instrument-of.ts';

const call = (deadline = 5): Call => ({ signal: new AbortController().signal, deadline });
const intensities = Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1]));
const full = { level: 1, intensities };

const opened: { link: LampLink; terminal: PseudoTerminal }[] = [];
afterEach(async () => {
  for (const { link, terminal } of opened.splice(0)) {
    await link.close();
    terminal.close();
  }
});

/** The driver on one end of a real pseudo-terminal, `answer` on the other. */
async function open(answer: (line: string) => string | Buffer) {
  const heard: string[] = [];
  let text = '';
  const terminal: PseudoTerminal = new PseudoTerminal((bytes) => {
    text += bytes.toString('latin1');
    for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n')) {
      const line = text.slice(0, at);
      text = text.slice(at + 1);
      heard.push(line);
      terminal.write(Buffer.from(answer(line)));
    }
  });
  const context = { rig: emulatedRig, lamp, clock: new RealClock(), folder: '.' };
  const instrument = instrumentOf(
    consoleDriver,
    { address: terminal.path },
    { name: 'console', deadline: 5 },
  );
  const link = (await consoleDriver.open(instrument, context)) as LampLink;
  opened.push({ link, terminal });
  return { link, terminal, heard };
}

describe('the console of a lamp on a serial port', () => {
  it('sends the lines of the lamp file and believes its ok', async () => {
    const { link, heard } = await open(() => 'ok\r\n');
    await link.set(full, call());
    await link.fade({ ...full, level: 0.001 }, 2.5, call());
    expect(heard).toEqual([
      'dim 100 mix 100 100 100 100 100 100',
      'fade 2500 dim 0.1 mix 100 100 100 100 100 100',
    ]);
    expect(await link.safe(call())).toEqual({ confirmed: true });
  });

  it.each([
    ['an echo and a prompt', (line: string) => `${line}\r\nok\r\n> `],
    ['an echo behind a prompt', (line: string) => `lamp> ${line}\r\nok\r\n`],
    ['empty lines', () => '\r\n\r\nok\r\n'],
    ['a boot banner', () => 'Alcove-6 starts\r\nclock 20 MHz\r\nok\r\n'],
    ['bytes that are no text', () => Buffer.from([0xff, 0x00, 0xfe, 0x0a, 0x6f, 0x6b, 0x0a])],
  ])('finds the ok behind %s', async (_, answer) => {
    const { link } = await open(answer);
    await link.set(full, call());
  });

  it('passes over its log until the ok, and keeps the lines', async () => {
    const { link, terminal } = await open(() => '[1.2] level set\r\n');
    const ordered = link.set(full, call());
    // Later than any pause within an answer.
    setTimeout(() => terminal.write(Buffer.from('[1.9] stored\r\nok\r\n')), 700);
    await ordered;
    expect(link.besides).toEqual(['[1.2] level set', '[1.9] stored']);
  });

  it('takes the expected answer behind a log, and else the first line', async () => {
    const { link } = await open((line) => `[1.2] asked\r\n${line === 'a' ? 'ok' : 'no'}\r\n`);
    const say = (line: string, expects?: string) =>
      link.send(
        {
          ...{ link: 'console', line },
          ...(expects !== undefined && { isAnswer: (said) => said.trim() === expects }),
        },
        call(),
      );
    expect(await say('a', 'ok')).toEqual({ text: 'ok' });
    expect(link.besides).toEqual(['[1.2] asked']);
    expect(await say('b', 'ok')).toEqual({ text: '[1.2] asked' });
    expect(await say('a')).toEqual({ text: '[1.2] asked' });
  });

  it('gives up on a lamp that only logs, within the deadline, and says what it said', async () => {
    const { link } = await open((line) => (line === 'who' ? 'a, b, c, d\r\n' : '[1.2] tick\r\n'));
    const refused = link.set(full, call(2));
    await expect(refused).rejects.toMatchObject({ kind: 'refused' });
    await expect(refused).rejects.toThrow(/answered "\[1.2\] tick" to "dim .*"; expected "ok"/);
  });

  it('knows the lamp again between lines of its log that look like an identity', async () => {
    let banner = '';
    const who = 'Halden Display Lighting, Alcove-6, 77, 2.1\r\n';
    const { link } = await open(() => `${banner}${who}`);
    await link.identify(call());
    banner = '[12.3] who, again\r\n';
    expect(await link.identify(call())).toMatchObject({ model: 'Alcove-6' });
  });

  it('finds the identity between echo and log', async () => {
    const { link } = await open(
      (line) => `${line}\r\n[12.3] who asked\r\nHalden Display Lighting, Alcove-6, 77, 2.1\r\n`,
    );
    expect(await link.identify(call())).toMatchObject({ model: 'Alcove-6', serial: '77' });
  });

  it('closes a garbled line, and takes no refusal of it for an answer', async () => {
    const { link, heard } = await open((line) => (line.startsWith('dim') ? 'ok\r\n' : 'no\r\n'));
    await link.noise(Uint8Array.of(0x99, 0x0a, 0x80, 0x41), call());
    await link.set(full, call());
    expect(heard).toEqual(['\x99', '\x80A', 'dim 100 mix 100 100 100 100 100 100']);
  });

  it('says what came instead of the ok', async () => {
    const { link } = await open(() => 'no level\r\n');
    const refused = link.set(full, call());
    await expect(refused).rejects.toMatchObject({ kind: 'refused' });
    await expect(refused).rejects.toThrow(/answered "no level" to "dim .*"; expected "ok"/);
  });

  describe('a refusal', () => {
    const who = 'Halden Display Lighting, Alcove-6, 77, 2.1\r\n';
    const lampThat = (answer: (line: string) => string) =>
      open((line) => (line.trim() === 'who' ? who : answer(line)));
    const failed = async (link: LampLink): Promise<unknown> =>
      link.set(full, call()).catch((error: unknown) => error);

    it('is the lamp’s where it says who it is and refuses the same line again', async () => {
      const { link, heard } = await lampThat(() => 'no per cent out of range\r\n');
      const error = await failed(link);
      expect(error).toBeInstanceOf(LampFailure);
      expect((error as LampFailure).message).toMatch(
        /answered "no per cent out of range" to "dim 100 .*" when it was sent again.*Alcove-6/,
      );
      const [line = ''] = heard;
      const long = 'who'.padStart(line.length);
      expect(heard).toEqual([line, 'who', long, long, long, long, long, line]);
    });

    it('is the bench’s where the same line is understood when it is sent again', async () => {
      let first = true;
      const { link } = await lampThat(() => {
        const answer = first ? 'no unknown command\r\n' : 'ok\r\n';
        first = false;
        return answer;
      });
      expect(await failed(link)).toMatchObject({ name: 'BenchError', kind: 'garbled' });
    });

    it.each([
      'unknown command "dmi 100 mix 100 100 100 100 100 100"\r\n',
      'unknown command: dim 10\u007e mix 100 100\r\n'.replace('\u007e', '?'),
      "error 'fade 20' not understood\r\n",
      'dim 1O0 mix 1OO 100 100 100 100 100\r\n',
    ])('is the bench’s where it quotes another line: %s', async (answer) => {
      const { link } = await lampThat(() => answer);
      expect(await failed(link)).toMatchObject({ name: 'BenchError', kind: 'garbled' });
    });

    it('is the bench’s where lines are cut off: a short question does not notice', async () => {
      const { link } = await open((line) => {
        const arrived = line.slice(0, 32);
        if (arrived.trim() === 'who') return who;
        return arrived.length < 32 ? 'ok\r\n' : 'no 6 intensities wanted\r\n';
      });
      const error = await failed(link);
      expect(error).toMatchObject({ name: 'BenchError', kind: 'garbled' });
      expect(String(error)).toMatch(/nothing proves that long lines arrive whole/);
    });

    it('is the bench’s where one long line in five is spoilt', async () => {
      let long = 0;
      const { link } = await lampThat(() => 'no unknown command\r\n');
      const spoilt = await open((line) => {
        if (line.trim() !== 'who') return 'no unknown command\r\n';
        return line.length > 3 && ++long === 4 ? 'no unknown command\r\n' : who;
      });
      expect(await failed(link)).toBeInstanceOf(LampFailure);
      expect(await failed(spoilt.link)).toMatchObject({ name: 'BenchError', kind: 'garbled' });
    });

    it('is the lamp’s too where it minds blanks, but has confirmed a line of that length', async () => {
      let refuses = false;
      const { link } = await open((line) => {
        if (line === 'who') return who;
        return refuses || line.includes('who') ? 'no unknown command\r\n' : 'ok\r\n';
      });
      await link.set(full, call());
      refuses = true;
      expect(await failed(link)).toBeInstanceOf(LampFailure);
    });

    it('is the bench’s where the ok comes back with a character spoilt', async () => {
      const { link } = await lampThat(() => 'oc\r\n');
      expect(await failed(link)).toMatchObject({ name: 'BenchError', kind: 'garbled' });
    });

    it('is the bench’s where somebody else says who it is meanwhile', async () => {
      let asked = 0;
      const { link } = await open((line) =>
        line === 'who' ? (asked++ === 0 ? who : 'Tarn, P60, 1, 1\r\n') : 'no\r\n',
      );
      await link.identify(call());
      expect(await failed(link)).toMatchObject({ name: 'BenchError', kind: 'refused' });
    });

    it('is the lamp file’s where the lamp seems to confirm in other words', async () => {
      const { link } = await lampThat(() => 'OK\r\n');
      expect(await failed(link)).toMatchObject({ name: 'BenchError', kind: 'refused' });
    });
  });

  it('never takes a late ok for the answer to the next command', async () => {
    let first = true;
    const giveUp = new AbortController();
    const { link, terminal } = await open(() => {
      if (!first) return 'no\r\n';
      first = false;
      giveUp.abort();
      return '';
    });
    const slow = link.set(full, { signal: giveUp.signal, deadline: 60 });
    await expect(slow).rejects.toMatchObject({ kind: 'cancelled' });
    terminal.write(Buffer.from('ok\r\n'));
    await expect(link.set(full, call())).rejects.toMatchObject({ kind: 'refused' });
  });

  it('notices a port that vanishes while it waits, and does not wait for it', async () => {
    const { link, terminal } = await open(() => '');
    const waiting = link.set(full, call(60));
    setTimeout(() => terminal.close(), 100);
    await expect(waiting).rejects.toMatchObject({ kind: 'closed' });
    await expect(waiting).rejects.toThrow(/vanished/);
    await expect(link.set(full, call(60))).rejects.toMatchObject({ kind: 'closed' });
  });

  it('keeps to its deadline when nobody answers, and can be closed twice', async () => {
    const { link } = await open(() => '');
    await expect(link.set(full, call(0.3))).rejects.toMatchObject({ kind: 'timeout' });
    await link.close();
    await link.close();
    await expect(link.identify(call())).rejects.toMatchObject({ kind: 'closed' });
  });
});
