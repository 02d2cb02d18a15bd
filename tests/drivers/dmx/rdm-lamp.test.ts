import { expect, test } from 'vitest';
import { encodeFound } from '../../../drivers/dmx/rdm/discovery-response.ts';
import type { RdmLine } from '../../../drivers/dmx/rdm/rdm-controller.ts';
import { RdmLamp } from '../../../drivers/dmx/rdm/rdm-lamp.ts';
import { ReferenceFirmware } from '../../../drivers/plant/firmware/reference.ts';
import { healthyFirmware } from '../../../drivers/plant/firmware/traits.ts';
import { RealClock } from '../../../drivers/real-clock.ts';
import { BenchError } from '../../../harness/bench/errors.ts';
import { alcove } from '../plant/firmware/alcove.ts';
import { BareLamp } from '../plant/firmware/bare-lamp.ts';

const { signal } = new AbortController();

/** Lamps that speak RDM on one line, with these serial numbers, and what the line does to answers, by their number from 1. */
class Line implements RdmLine {
  readonly lamps: readonly BareLamp[];
  spoil: (answer: Uint8Array, number: number) => Uint8Array = (answer) => answer;
  talks = 0;
  #answers = 0;

  constructor(serials: readonly number[]) {
    const { dmx } = alcove.links;
    const lamp = { ...alcove, links: { ...alcove.links, dmx: { ...dmx!, rdm: true as const } } };
    this.lamps = serials.map(
      (serial) => new BareLamp(new ReferenceFirmware(lamp, healthyFirmware, serial)),
    );
  }

  async talk(message: Uint8Array): Promise<Uint8Array> {
    this.talks++;
    const answers = this.lamps.map((lamp) => {
      lamp.line = [];
      lamp.dmx(message[0]!, message.slice(1));
      lamp.run(0.15);
      return lamp.line;
    });
    // Where one is low the line is.
    const longest = Math.max(...answers.map(({ length }) => length));
    const together = Uint8Array.from({ length: longest }, (_, index) =>
      answers.reduce((all, own) => all & (own[index] ?? 0xff), 0xff),
    );
    return together.length === 0 ? together : this.spoil(together, ++this.#answers);
  }
}

function lampOn(line: RdmLine): RdmLamp {
  return new RdmLamp({
    line,
    clock: new RealClock(),
    error: (kind, why) => new BenchError(kind, 'dmx', why),
  });
}

test('finds the lamp, asks and tells it, and hears its reasons', async () => {
  const lamp = lampOn(new Line([42]));
  expect(await lamp.ask('dmx-start-address', signal)).toMatchObject({ value: 1, resolution: 1 });
  // Dim level and six channels of 16 bit.
  expect(await lamp.ask('dmx-footprint', signal)).toMatchObject({ value: 14 });
  expect(await lamp.tell('dmx-start-address', 499, signal)).toBeNull();
  expect(await lamp.ask('dmx-start-address', signal)).toMatchObject({ value: 499 });
  expect(await lamp.tell('dmx-start-address', 500, signal)).toBe('data-out-of-range');
  expect(await lamp.whoIsLamp(signal)).toMatchObject({
    maker: 'Halden Display Lighting',
    model: 'alcove-6',
    serial: '',
    firmware: '1.0.0',
    raw: 'Halden Display Lighting, alcove-6, 7ff1:0000002a, 1.0.0',
  });
});

test('a lamp that asks for time gets it, and answers then (ACK_TIMER)', async () => {
  const lamp = lampOn(new Line([1]));
  expect(await lamp.tell('modulation-frequency-setting', 2, signal)).toBeNull();
  expect(await lamp.ask('modulation-frequency-setting', signal)).toMatchObject({ value: 2 });
});

test('lost and spoilt answers are asked for again', async () => {
  const line = new Line([42]);
  line.spoil = (answer, number) => {
    if (number % 3 === 0) return new Uint8Array();
    return number % 3 === 1 ? answer.map((byte, index) => (index === 5 ? byte ^ 1 : byte)) : answer;
  };
  expect(await lampOn(line).ask('dmx-footprint', signal)).toMatchObject({ value: 14 });
});

test('answers that are never whole are the bench’s fault', async () => {
  const line = new Line([42]);
  const lamp = lampOn(line);
  await lamp.ask('dmx-footprint', signal);
  line.spoil = (answer) => answer.map((byte, index) => (index === 20 ? byte ^ 1 : byte));
  await expect(lamp.ask('dmx-footprint', signal)).rejects.toMatchObject({
    kind: 'garbled',
    message: expect.stringMatching(/never whole: checksum 0x/),
  });
  line.spoil = () => new Uint8Array();
  await expect(lamp.ask('dmx-footprint', signal)).rejects.toMatchObject({ kind: 'timeout' });
});

test('an answer to another question is none', async () => {
  const line = new Line([42]);
  const lamp = lampOn(line);
  await lamp.ask('dmx-footprint', signal);
  // The transaction number, and the checksum with it.
  line.spoil = (answer) =>
    answer.map((byte, at) => (at === 15 || at === answer.length - 1 ? byte + 1 : byte));
  await expect(lamp.ask('dmx-footprint', signal)).rejects.toMatchObject({
    message: expect.stringMatching(/another message/),
  });
});

test('two lamps are told apart, and are one too many', async () => {
  const line = new Line([5, 0x80000006]);
  await expect(lampOn(line).ask('dmx-footprint', signal)).rejects.toMatchObject({
    kind: 'collision',
    message: expect.stringContaining(
      '2 devices answer RDM on the line (7ff1:00000005, 7ff1:80000006)',
    ),
  });
});

test('nobody is nobody', async () => {
  const line: RdmLine = { talk: async () => new Uint8Array() };
  await expect(lampOn(line).ask('dmx-footprint', signal)).rejects.toMatchObject({
    kind: 'timeout',
  });
});

test('a line full of noise says so', async () => {
  const line: RdmLine = {
    talk: async () => encodeFound(3).map((byte, index) => byte ^ (index > 7 ? 4 : 0)),
  };
  await expect(lampOn(line).ask('dmx-footprint', signal)).rejects.toMatchObject({
    kind: 'garbled',
  });
});
