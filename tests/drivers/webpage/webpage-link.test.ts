import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import type { Call, LampLink } from '../../../harness/bench/ports.ts';
import { lamp } from '../conformance/shipped-bench.ts';
import { openInstrument, openTestEmulation, rigFor } from '../emulate/open-test-bench.ts';
import { openPageLink } from './open-page-link.ts';

const call = (deadline = 60): Call => ({ signal: new AbortController().signal, deadline });
const mix = Object.fromEntries(lamp.channels.map(({ channel }, at) => [channel, at / 10]));

let emulation: Emulation;
let url: string;
beforeAll(async () => {
  emulation = await openTestEmulation();
  url = emulation.endpoints.find(({ address }) => address.startsWith('http'))!.address;
  const supply = await openInstrument(rigFor(emulation), 'supply');
  if (supply.kind !== 'supply') throw new Error('no supply');
  await supply.set({ volts: 48 }, call());
  await supply.output(true, call());
  await supply.close();
  await new Promise((resolve) => setTimeout(resolve, 1000 * lamp.startUp));
});
afterAll(async () => {
  await emulation?.close();
});

const opened: LampLink[] = [];
afterEach(async () => {
  for (const link of opened.splice(0)) await link.close();
});

async function open(change: Record<string, unknown> = {}): Promise<LampLink> {
  const set = [
    { fill: '#level', with: '{level}' },
    ...lamp.channels.map(({ channel }) => ({
      fill: `#channel-${channel}`,
      with: `{intensity ${channel}}`,
    })),
    { fill: '#fade', with: '{seconds}' },
    { click: '#apply' },
    { wait: '#status', text: 'ok' },
  ];
  const off = [{ click: '#off' }, { wait: '#status', text: 'ok' }];
  const link = await openPageLink({
    url,
    'identity-element': 'h1',
    set,
    fade: set,
    off,
    ...change,
  });
  opened.push(link);
  return link;
}

/** What the lamp's page was last told and the firmware said ok to. */
async function shown(): Promise<{ level: number; fade: number; channels: object }> {
  return (await (await fetch(`${url}state`)).json()) as never;
}

describe('a lamp that is set by its own web page', () => {
  it('is set, faded and switched off as a person would, and confirms it', async () => {
    const link = await open();
    expect(await link.identify(call())).toMatchObject({ raw: lamp.lamp });
    await link.set({ level: 0.25, intensities: mix }, call());
    const channels = Object.fromEntries(lamp.channels.map(({ channel }, at) => [channel, at * 10]));
    expect(await shown()).toEqual({ level: 25, fade: 0, channels });
    await link.fade({ level: 1, intensities: mix }, 1.5, call());
    expect(await shown()).toMatchObject({ level: 100, fade: 1.5 });
    expect(await link.safe(call())).toEqual({ confirmed: true });
    expect(await shown()).toMatchObject({ level: 0 });
  });

  it('says which selector it did not find, in time, and can be used again', async () => {
    const link = await open({ off: [{ click: '#of' }] });
    await expect(link.safe(call(5))).rejects.toMatchObject({ name: 'BenchError' });
    await link.set({ level: 0.5, intensities: mix }, call());
    expect(await shown()).toMatchObject({ level: 50 });
  });
});
