import { afterEach, describe, expect, it } from 'vitest';
import { daliDriver } from '../../../drivers/dali/dali-driver.ts';
import { RealClock } from '../../../drivers/real-clock.ts';
import type { Call, LampLink } from '../../../harness/bench/ports.ts';
import { emulatedRig, lamp } from '../conformance/shipped-bench.ts';
import { instrumentOf } from '../instrument-of.ts';
import { type Answer, FakeInstrument } from '../scpi/fake-instrument.ts';

const call = (deadline = 5): Call => ({ signal: new AbortController().signal, deadline });
const intensities = Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1]));
const full = { level: 1, intensities };

const opened: { link: LampLink; bridge: FakeInstrument }[] = [];
afterEach(async () => {
  for (const { link, bridge } of opened.splice(0)) {
    await link.close();
    await bridge.stop();
  }
});

/** A bridge on a real socket that does what it is told; `special` answers first. */
async function open(
  special: (line: string) => Answer | undefined = () => undefined,
  settings: Record<string, unknown> = {},
) {
  const bridge = await FakeInstrument.start(
    (line) => special(line) ?? (line === 'V' ? 'A bridge, 1' : 'ok'),
  );
  const one = instrumentOf(
    daliDriver,
    { address: bridge.address, ...settings },
    { name: 'dali', deadline: 5 },
  );
  const context = { rig: emulatedRig, lamp, clock: new RealClock(), folder: '.' };
  const link = (await daliDriver.open(one, context)) as LampLink;
  opened.push({ link, bridge });
  return { link, bridge };
}

describe('a DALI bus behind a serial bridge', () => {
  it('sends configuration twice, and nothing that the gear holds already', async () => {
    const { link, bridge } = await open();
    await link.fade(full, 1.41, call());
    // Short address 5: fade time code 3 in DTR0, SET FADE TIME twice, primaries, level 254 (IEC 62386-102).
    expect(bridge.heard.slice(0, 2)).toEqual(['S a303', 'D 0b2e']);
    expect(bridge.heard.at(-1)).toBe('S 0afe');
    const before = bridge.heard.length;
    await link.fade({ ...full, level: 0.001 }, 1.41, call());
    expect(bridge.heard.slice(before)).toEqual(['S 0a01']);
    link.forget?.();
    await link.fade(full, 1.41, call());
    expect(bridge.heard.length).toBeGreaterThan(before + 10);
  });

  it('makes noise of frames of 24 bits, the last one filled with zeros', async () => {
    const { link, bridge } = await open();
    await link.noise(Uint8Array.of(0xfe, 1, 2, 3), call());
    expect(bridge.heard).toEqual(['S fe0102', 'S 030000']);
  });

  it('has lines of their own for frames of 24 bits, where the bridge has', async () => {
    const lines = { 'send-24': 'L{frame}', 'query-24': 'M{frame}', 'twice-24': null };
    const { link, bridge } = await open((line) => (line.startsWith('M') ? 'N' : undefined), {
      lines,
    });
    const frame = [0x0b, 0xfe, 0x30];
    await link.send({ link: 'dali', frame }, call());
    await link.send({ link: 'dali', frame, twice: true }, call());
    expect(await link.send({ link: 'dali', frame, answer: true }, call())).toBeNull();
    expect(bridge.heard).toEqual(['L0bfe30', 'L0bfe30', 'L0bfe30', 'M0bfe30', 'V']);
  });

  it('refuses frames of 24 bits where its bridge cannot carry them', async () => {
    const { link, bridge } = await open(undefined, { lines: { 'send-24': null } });
    const sent = link.send({ link: 'dali', frame: [0x0b, 0xfe, 0x30] }, call());
    await expect(sent).rejects.toMatchObject({ kind: 'unsupported' });
    expect(bridge.heard).toEqual([]);
  });

  it('sends twice itself where the bridge cannot', async () => {
    const { link, bridge } = await open(undefined, { lines: { twice: null, send: 'T{frame}' } });
    await link.send({ link: 'dali', frame: [0xff, 0x20], twice: true }, call());
    expect(bridge.heard).toEqual(['Tff20', 'Tff20']);
  });

  it.each([
    ['A fe', { byte: 254 }],
    ['a fe', null],
    ['N', null],
  ])('reads the answer %s', async (answer, expected) => {
    const { link } = await open((line) =>
      line.startsWith('Q') ? `something else\n${answer}\nN` : undefined,
    );
    const query = { link: 'dali', frame: [0x0b, 0xa0], answer: true } as const;
    expect(await link.send(query, call())).toEqual(expected);
  });

  it('takes frames that collided for a yes of many, and for an error where one alone can answer', async () => {
    const { link } = await open((line) => (line.startsWith('Q') ? 'X' : undefined));
    const ask = (first: number) =>
      link.send({ link: 'dali', frame: [first, 0x91], answer: true }, call());
    expect(await ask(0xff)).toEqual({ byte: 255 });
    expect(await ask(0x85)).toEqual({ byte: 255 });
    await expect(ask(0x0b)).rejects.toMatchObject({ kind: 'collision' });
    await expect(ask(0x0b)).rejects.toThrow(/more than one gear answers at short address 5/);
  });

  it('asks again before it believes in silence, or in a second gear', async () => {
    const answers = ['N', 'X', 'A fe'];
    const { link, bridge } = await open((line) =>
      line.startsWith('Q') ? (answers.shift() ?? 'A fe') : undefined,
    );
    const query = { link: 'dali', frame: [0x0b, 0xa0], answer: true } as const;
    await expect(link.send(query, call())).rejects.toMatchObject({ kind: 'garbled' });
    expect(bridge.heard).toEqual(['Q 0ba0', 'Q 0ba0', 'Q 0ba0', 'V']);
    answers.push('N', 'A fe');
    await expect(link.send(query, call())).rejects.toThrow(/0ba0 brought no answer, then 0xfe/);
    answers.push('N', 'N');
    expect(await link.send(query, call())).toBeNull();
    // What changes something by being asked is asked once.
    const before = bridge.heard.length;
    answers.push('N');
    const reading = { link: 'dali', frame: [0x0b, 0xc5], answer: true } as const;
    expect(await link.send(reading, call())).toBeNull();
    expect(bridge.heard.slice(before)).toEqual(['Q 0bc5', 'V']);
  });

  it('takes no answer of a bridge that is one answer behind', async () => {
    let before = 'A 00';
    const { link } = await open((line) => {
      const now = before;
      before = line.startsWith('Q') ? 'A fe' : line === 'V' ? 'A bridge, 1' : 'ok';
      return now;
    });
    const query = { link: 'dali', frame: [0x0b, 0xa0], answer: true } as const;
    await expect(link.send(query, call())).rejects.toThrow(
      /answered "A fe" when it was asked who it is: its answers are out of step/,
    );
  });

  it('refuses to believe in a pair of frames that is too far apart, and says how far', async () => {
    const { link, bridge } = await open(
      () => (socket) => void setTimeout(() => socket.write('ok\n'), 150),
    );
    const configuring = link.send({ link: 'dali', frame: [0x0b, 0x2e], twice: true }, call());
    await expect(configuring).rejects.toMatchObject({ kind: 'late' });
    await expect(configuring).rejects.toThrow(/up to [1-9]\d\d ms, .* within 100 ms only/);
    expect(bridge.heard).toEqual(['D 0b2e', 'D 0b2e', 'D 0b2e', 'D 0b2e']);
  });

  it('is dark when the gear itself says level 0, and only then', async () => {
    const dark = await open((line) => (line === 'Q 0ba0' ? 'A 00' : undefined));
    expect(await dark.link.safe(call())).toEqual({ confirmed: true });
    expect(dark.bridge.heard).toEqual(['S 0b00', 'Q 0ba0', 'V']);
    const silent = await open((line) => (line === 'Q 0ba0' ? 'N' : undefined));
    expect(await silent.link.safe(call())).toEqual({ confirmed: false });
  });

  it('says what the bridge refused, which fades the bus has, and keeps to its deadline', async () => {
    const { link } = await open((line) => (line === 'S fe01' ? 'E no power' : undefined));
    const refused = link.send({ link: 'dali', frame: [0xfe, 1] }, call());
    await expect(refused).rejects.toThrow(/its bridge answered "E no power" to "S fe01"/);
    await expect(link.fade(full, 3, call())).rejects.toThrow(/no fade of 3 s, only 0 and/);
    const { link: deaf } = await open(() => () => {});
    await expect(deaf.set(full, call(0.2))).rejects.toMatchObject({ kind: 'timeout' });
  });
});
