import { join } from 'node:path';
import { checkSeal } from '../../archive/check-seal.ts';
import { manifestFile, sha256 } from '../../archive/manifest.ts';
import { readPlainFile } from '../../archive/plain-file.ts';
import { readRecordFile } from '../../archive/record-file.ts';
import type { RunRecord } from '../../record/run-record.ts';
import type { Shard } from '../../record/shard-record.ts';
import { Complaint } from '../complaint.ts';

/** A sealed run that is one shard of a selection. */
export interface StoredShard {
  readonly folder: string;
  readonly record: RunRecord & { readonly endedAt: string };
  readonly shard: Shard;
  /** Digest of its manifest. */
  readonly manifest: string;
}

/** Reads the shards in these folders, in the order of their numbers. Throws a Complaint where they are no whole, or not of the same things. */
export async function readShards(folders: readonly string[]): Promise<readonly StoredShard[]> {
  const shards: StoredShard[] = [];
  for (const folder of folders) shards.push(await readShard(folder));
  shards.sort((a, b) => a.shard.number - b.shard.number);
  refuseOthers(shards);
  refuseGaps(shards);
  return shards;
}

async function readShard(folder: string): Promise<StoredShard> {
  const { state, problems } = await checkSeal(folder);
  if (state === 'not sealed')
    throw new Complaint(
      'usage',
      `the run in ${folder} has not ended; finish it with evenfall run --resume, then merge`,
    );
  const [problem] = problems;
  if (problem)
    throw new Complaint(
      'refused',
      `the run in ${folder} is not as it was stored: ${problem.file} ${problem.text}; measure again`,
    );
  const record = await readRecordFile(folder);
  const { endedAt, ended, id, selection } = record;
  if (ended !== 'complete' || endedAt === null)
    throw new Complaint(
      'usage',
      `run ${id} ended ${ended}: only complete runs can be merged; finish it with evenfall run --resume`,
    );
  const { shard } = selection;
  if (!shard)
    throw new Complaint(
      'usage',
      `expected runs that were made with --shard, found run ${id}, which is of a whole selection`,
    );
  const manifest = sha256(await readPlainFile(join(folder, manifestFile)));
  return { folder, record: { ...record, endedAt }, shard, manifest };
}

/** Of what all shards have to be the same, in words. */
const shared: readonly (readonly [what: string, of: (one: StoredShard) => unknown])[] = [
  ['number of shards', ({ shard }) => shard.of],
  ['selection of claims', ({ shard }) => shard.whole.map(({ spec }) => spec)],
  ['spec files', ({ shard }) => shard.whole],
  ['lamp', ({ record }) => record.lamp.name],
  ['lamp file', ({ record }) => record.lamp.digest],
  ['build', ({ record }) => record.lamp.build],
  ['firmware', ({ record }) => record.lamp.firmware],
  ['seed', ({ record }) => record.seed],
  ['seeded faults', ({ record }) => record.faults],
  ['decision rule', ({ record }) => record.decision],
  ['kind of bench, simulated or real', ({ record }) => record.rig.simulated],
  ['version of Evenfall', ({ record: { harness } }) => [harness.version, harness.code]],
  ['version of the record', ({ record }) => record.version],
];

function refuseOthers(shards: readonly StoredShard[]): void {
  const [first, ...others] = shards;
  if (!first) throw new Complaint('usage', 'expected the runs of all shards, found none');
  for (const [what, of] of shared) {
    const wanted = JSON.stringify(of(first));
    const other = others.find((one) => JSON.stringify(of(one)) !== wanted);
    if (!other) continue;
    const text = `cannot merge run ${other.record.id} with run ${first.record.id}: their ${what} ${what.endsWith('s') ? 'are' : 'is'} not the same`;
    const found = wanted.length < 100 ? ` (${wanted} and ${JSON.stringify(of(other))})` : '';
    throw new Complaint('usage', `${text}${found}`);
  }
}

/** Every shard once, and in it the claims that are its own. */
function refuseGaps(shards: readonly StoredShard[]): void {
  const of = shards[0]?.shard.of ?? 0;
  const found = shards.map(({ shard }) => shard.number);
  const twice = found.find((number, place) => found.indexOf(number) !== place);
  if (twice !== undefined) {
    const runs = shards
      .filter(({ shard }) => shard.number === twice)
      .map(({ record }) => record.id);
    throw new Complaint(
      'usage',
      `shard ${twice}/${of} is there twice: in the runs ${runs.join(' and ')}`,
    );
  }
  const missing = Array.from({ length: of }, (_, k) => k + 1).filter((k) => !found.includes(k));
  if (missing.length > 0) {
    const names = missing.map((number) => `${number}/${of}`).join(', ');
    throw new Complaint('usage', `expected the runs of all ${of} shards, found none of ${names}`);
  }
  const claims = shards.flatMap(({ record }) =>
    record.specs.map(({ spec, digest }) => ({ spec, digest })),
  );
  for (const { spec, digest } of shards[0]?.shard.whole ?? []) {
    const own = claims.filter((one) => one.spec === spec);
    if (own.length === 1 && own[0]?.digest === digest) continue;
    const text = own.length === 1 ? 'is of another spec file' : `is in ${own.length} of them`;
    throw new Complaint(
      'bad-file',
      `the shards do not make up their selection: the claim ${spec} ${text}`,
    );
  }
}
