import { join } from 'node:path';
import { afterEach, expect, it } from 'vitest';
import { readRun } from '../../harness/archive/read-run.ts';
import { evenfall } from '../cli/program.ts';
import { findingsText, runsIn } from '../cli/small-specs.ts';
import { whole } from '../sampled.ts';
import { killCampaign, libraryOf } from './kill-campaign.ts';
import { LabDesk } from './lab-desk.ts';
import { hasPostgres, TestPostgres } from './postgres.ts';

/** All: five rigs, forty shards, a hundred kills. */
const size = whole
  ? { rigs: 5, claims: 40, conditions: 25, kills: 100, patience: 1_800_000 }
  : { rigs: 2, claims: 4, conditions: 12, kills: 4, patience: 100_000 };

let clear = async (): Promise<void> => {};
afterEach(() => clear());

it.skipIf(!hasPostgres())(
  'judges every condition once and loses no capture, whoever is killed',
  async () => {
    const server = await TestPostgres.start();
    const options = { database: server.url, silence: '5 s' };
    const lab = new LabDesk(libraryOf(size, '1 s'), options);
    clear = async () => {
      await lab.clear();
      await server.stop();
    };
    const rigs = Array.from({ length: size.rigs }, (_, k) => ({ name: `rig-${k + 1}` }));
    const asked = ['--simulated', '--shards', `${size.claims}`];
    const record = await killCampaign({ lab, server, rigs, asked }, size);

    await evenfall(['run', 'specs', '--out', 'single', '--rig', 'simulated.rig.yaml'], {
      cwd: lab.cwd,
    });
    const [single = ''] = runsIn(lab.cwd, 'single');
    const expected = (await readRun(join(single))).record;
    expect(findingsText(record)).toBe(findingsText(expected));
  },
  whole ? 3_600_000 : 300_000,
);
