import { afterEach, expect, test } from 'vitest';
import { dmxDriver } from '../../../drivers/dmx/dmx-driver.ts';
import type { DmxLampLink } from '../../../drivers/dmx/dmx-link.ts';
import type { Emulation, EmulationOptions } from '../../../drivers/plant/emulate/emulation.ts';
import { readTrouble, type Trouble } from '../../../drivers/plant/emulate/trouble.ts';
import { RealClock } from '../../../drivers/real-clock.ts';
import { emulatedRig, lamp } from '../conformance/shipped-bench.ts';
import { instrumentOf } from '../instrument-of.ts';
import { openTestEmulation } from './open-test-bench.ts';

const ends: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const end of ends.splice(0).reverse()) await end();
});

const call = () => ({ signal: new AbortController().signal, deadline: 15 });
const all = Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1]));

/** The lamp behind a real serial port driver on a real pseudo-terminal. */
async function open(
  ...troubles: readonly string[]
): Promise<{ link: DmxLampLink; emulation: Emulation }> {
  const rig = { ...emulatedRig, links: { ...emulatedRig.links, dmx: 'dmx' } };
  const spoilt: EmulationOptions['troubles'] = troubles.map(
    (text) => readTrouble(text, ['dmx']) as Trouble,
  );
  const emulation = await openTestEmulation({ rig, troubles: spoilt });
  ends.push(() => emulation.close());
  await emulation.live.setSource(lamp.supply.nominal);
  await emulation.live.setPower(true);
  const { address } = emulation.endpoints.find(({ name }) => name === 'dmx')!;
  const settings = { address, break: 'baud-rate' };
  const instrument = instrumentOf(dmxDriver, settings, { name: 'dmx', deadline: 15 });
  const context = { rig, lamp, clock: new RealClock(), folder: '.' };
  const link = (await dmxDriver.open(instrument, context)) as DmxLampLink;
  ends.push(() => link.close());
  return { link, emulation };
}

test('a stream, questions and settings share the line', async () => {
  const { link, emulation } = await open();
  await link.set({ level: 1, intensities: all }, call());
  expect(await link.ask('dmx-footprint', call())).toMatchObject({ value: 14 });
  expect(await link.tell('dmx-start-address', 101, call())).toBeNull();
  expect(await link.tell('dmx-start-address', 513, call())).toBe('data-out-of-range');
  expect(await link.ask('dmx-start-address', call())).toMatchObject({ value: 101 });
  expect(await link.whoIsLamp?.(call())).toMatchObject({
    model: 'alcove-6',
    raw: expect.stringContaining('7ff1:00000001'),
  });
  // Frames longer than the lamp's slots do not keep it from hearing.
  const slots = [...new Array<number>(20).fill(255), ...new Array<number>(100).fill(0)];
  await link.send({ link: 'dmx', startCode: 0, slots }, call());
  await new Promise((resolve) => setTimeout(resolve, 200));
  expect(await link.ask('dmx-start-address', call())).toMatchObject({ value: 101 });
  expect(await link.tell('dmx-start-address', 1, call())).toBeNull();
  await new Promise((resolve) => setTimeout(resolve, 200));
  await emulation.live.catchUp();
  expect(emulation.live.simulation.dark()).toBe(false);
});

test('answers that are lost or garbled are asked for again; those that always are, are an error', async () => {
  const { link } = await open('silence,on=dmx,from=3,once', 'garbage,on=dmx,from=4,once');
  expect(await link.ask('dmx-footprint', call())).toMatchObject({ value: 14 });
  const spoilt = await open('half,on=dmx,from=4');
  await spoilt.link.ask('dmx-footprint', call());
  await expect(spoilt.link.ask('dmx-footprint', call())).rejects.toMatchObject({ kind: 'garbled' });
});

test('a lamp without power is silent, and that is the bench’s to explain', async () => {
  const { link, emulation } = await open();
  await emulation.live.setPower(false);
  await expect(link.ask('dmx-footprint', call())).rejects.toMatchObject({ kind: 'timeout' });
});
