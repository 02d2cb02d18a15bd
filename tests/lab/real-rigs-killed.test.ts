import { afterEach, expect, it } from 'vitest';
import { outputIsOn } from '../cli/emulated-rig.ts';
import { whole } from '../sampled.ts';
import { type EmulatedRig, emulatedRig } from './emulated-rigs.ts';
import { type CampaignRig, killCampaign, libraryOf } from './kill-campaign.ts';
import { LabDesk } from './lab-desk.ts';
import { hasPostgres, TestPostgres } from './postgres.ts';

/** All: five rigs, forty shards, a hundred kills. */
const size = whole
  ? { rigs: 5, claims: 40, conditions: 6, kills: 100, patience: 1_800_000 }
  : { rigs: 2, claims: 2, conditions: 4, kills: 2, patience: 200_000 };

const open: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of open.splice(0)) await close();
});

/** By the watchdog, which outlives the rig's process. */
function watched({ name, file, emulation }: EmulatedRig): CampaignRig {
  const afterKill = async (): Promise<void> => {
    await expect.poll(() => outputIsOn(emulation), { timeout: 30_000 }).toBe(false);
  };
  return { name, file, afterKill };
}

it.skipIf(!hasPostgres())(
  'leaves every bench safe, judges every condition once and loses no capture, whoever is killed',
  async () => {
    const server = await TestPostgres.start();
    open.push(() => server.stop());
    const options = { database: server.url, silence: '20 s' };
    const lab = new LabDesk(libraryOf(size, '300 ms'), options);
    open.unshift(() => lab.clear());
    const rigs: EmulatedRig[] = [];
    for (let k = 1; k <= size.rigs; k++) {
      const rig = await emulatedRig(lab, `rig-${k}`);
      rigs.push(rig);
      open.push(() => rig.emulation.close());
    }
    const asked = ['--shards', `${size.claims}`];
    const desk = { lab, server, asked, rigs: rigs.map(watched) };
    const record = await killCampaign(desk, size);
    expect(record.rig.simulated).toBe(false);
    for (const { emulation } of rigs)
      await expect.poll(() => outputIsOn(emulation), { timeout: 30_000 }).toBe(false);
  },
  whole ? 3_600_000 : 400_000,
);
