import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { checkSeal } from '../../harness/archive/check-seal.ts';
import { readRecordFile } from '../../harness/archive/record-file.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { evenfall } from '../cli/program.ts';
import { colourSpec, dimmingSpec, recordIn, runsIn } from '../cli/small-specs.ts';
import { LabDesk } from './lab-desk.ts';
import { hasPostgres, TestPostgres } from './postgres.ts';

const library = {
  'specs/a.spec.yaml': dimmingSpec('long', ['50 %', '20 %', '10 %']),
  'specs/b.spec.yaml': colourSpec,
  'specs/c.spec.yaml': dimmingSpec('misses', ['50 %']).replaceAll('target: $level', 'target: 90 %'),
  'specs/d.spec.yaml': dimmingSpec('short', ['5 %']),
};

/** What a run found, without what every run has of its own. */
function results({ specs, verdict, totals }: RunRecord): unknown {
  const plain = specs.map((spec) => ({
    ...spec,
    conditions: spec.conditions.map(({ startedAt: _, ...condition }) => condition),
  }));
  return { specs: plain, verdict, totals: { ...totals, wallTime: 0 } };
}

const open: { close(): Promise<void> }[] = [];
afterEach(async () => {
  for (const one of open.splice(0)) await one.close();
});

async function labOn(database: 'PostgreSQL' | 'its own database'): Promise<LabDesk> {
  const server = database === 'PostgreSQL' ? await TestPostgres.start() : null;
  const lab = new LabDesk(library, server ? { database: server.url } : {});
  open.push({
    close: async () => {
      await lab.clear();
      await server?.stop();
    },
  });
  await lab.serve();
  return lab;
}

/** Somebody decides on it from elsewhere, and the archive of the lab proves it. */
async function signAndVerify(lab: LabDesk, printed: string): Promise<void> {
  const secret = { EVENFALL_PASSPHRASE: 'a long passphrase' };
  const { cwd } = lab;
  await evenfall(['keys', 'new', '--out', 'mira.pem'], { cwd, env: secret });
  const [, submission = ''] = /Submission ([0-9a-f-]{36})/.exec(printed) ?? [];
  const short = submission.slice(0, 8);
  const asked = ['lab', 'sign', short, '--key', 'mira.pem', '--as', 'Mira'];
  const decision = ['--meaning', 'approval', '--decision', 'release', '--waive', 'misses'];
  const env = {
    ...{ ...secret, EVENFALL_LAB: lab.url },
    EVENFALL_LAB_TOKEN: await lab.token('mira', '--role', 'sign'),
  };
  const all = [...asked, ...decision, '--reason', 'its target is wrong on purpose'];
  const signed = await evenfall(all, { cwd, env });
  expect(signed.exitCode, signed.stderr).toBe(0);
  const verified = await evenfall(['verify', 'latest', '--public', 'mira.pub.pem'], { cwd });
  expect(verified.exitCode, verified.stdout + verified.stderr).toBe(0);
  expect(verified.stdout).toContain('release by Mira');
}

describe.each(['PostgreSQL', 'its own database'] as const)('a lab with %s', (database) => {
  const skip = database === 'PostgreSQL' && !hasPostgres();
  it.skipIf(skip)('makes of three rigs what one run is', async () => {
    const lab = await labOn(database);
    const rigs = ['left', 'middle', 'right'];
    for (const name of rigs) {
      const rig = lab.rig(name, await lab.token(name, '--rig'));
      await rig.until((stdout) => stdout.includes(`Serving as rig ${name}`));
    }
    const dora = await lab.token('dora', '--role', 'submit');
    const asked = ['submit', 'specs', '--simulated', '--shards', '4', '--junit', 'whole.xml'];
    const submitted = await lab.call([...asked, '--wait', '--build', '1.4.2'], dora);
    expect(submitted.exitCode, submitted.stderr).toBe(1);
    expect(submitted.stdout).toContain('4 shards for left, middle, right');
    expect(submitted.stdout).toContain('misses');
    const single = ['run', 'specs', '--out', 'single', '--build', '1.4.2'];
    await evenfall([...single, '--rig', 'simulated.rig.yaml'], { cwd: lab.cwd });
    const [one = ''] = runsIn(lab.cwd, 'single');
    const [whole = ''] = runsIn(lab.cwd);
    const record = await readRecordFile(whole);
    expect(results(record)).toEqual(results(await readRecordFile(one)));
    expect(record.shards?.map(({ number }) => number)).toEqual([1, 2, 3, 4]);
    expect(readFileSync(join(lab.cwd, 'whole.xml'))).toEqual(
      readFileSync(join(whole, 'junit.xml')),
    );
    expect(await checkSeal(whole)).toMatchObject({ state: 'sealed', problems: [] });
    expect(recordIn(whole).lamp.build).toBe('1.4.2');
    await signAndVerify(lab, submitted.stdout);
  });
});
