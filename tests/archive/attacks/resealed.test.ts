import { appendFileSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ledgerBeside } from '../../../harness/archive/ledger.ts';
import { sha256 } from '../../../harness/archive/manifest.ts';
import { signRun } from '../../../harness/archive/sign-run.ts';
import { verifyAgainstLedger } from '../../../harness/archive/verify-against-ledger.ts';
import { verifyRun } from '../../../harness/archive/verify-run.ts';
import type { RunRecord } from '../../../harness/record/run-record.ts';
import { scratchFolders } from '../scratch.ts';
import { newPerson, sealedRun } from '../signed-run.ts';

const scratch = scratchFolders();
const mira = newPerson('Mira');

const sign = (folder: string, decision: 'release' | 'reject' = 'release', signedAt?: string) =>
  signRun(folder, {
    ...{ key: mira.key, name: 'Mira', meaning: 'approval', decision, waivers: [] },
    signedAt: signedAt ?? '2026-03-05T08:00:00Z',
    ledger: ledgerBeside(folder),
  });

type Sealed = { file: string; bytes: number; sha256: string };

/** Writes another seal over what lies in the folder now, as anybody can before the first signature. */
function reseal(folder: string, change: (files: Sealed[]) => Sealed[] = (files) => files): void {
  const path = join(folder, 'manifest.json');
  const manifest = JSON.parse(readFileSync(path, 'utf8')) as { files: Sealed[] };
  const files = change(manifest.files).map((sealed) => {
    const bytes = readFileSync(join(folder, sealed.file));
    return { ...sealed, bytes: bytes.length, sha256: sha256(bytes) };
  });
  writeFileSync(path, JSON.stringify({ ...manifest, files }));
}

/** Mutable, as an attacker has it. */
type Loose = { -readonly [Key in keyof RunRecord]: RunRecord[Key] } & Record<string, unknown>;

function edit(folder: string, change: (record: Loose) => void): void {
  const path = join(folder, 'run.json');
  const record = JSON.parse(readFileSync(path, 'utf8')) as Loose;
  change(record);
  writeFileSync(path, JSON.stringify(record));
  reseal(folder);
}

/** What `sign` says, and `verify` of the folder as it is. */
async function refusals(folder: string): Promise<readonly string[]> {
  const signed = await sign(folder).then(() => 'signed', String);
  const verified = await verifyRun(folder, [mira.public]).then(
    ({ problems }) => problems.map(({ file, text }) => `${file} ${text}`).join('; '),
    String,
  );
  return [signed, verified];
}

/** It came with the simulated lamp. */
const posing = {
  ...{ name: 'scope', driver: 'plant', simulated: false, calibration: null },
  identity: { maker: 'Tarn', model: 'D16', serial: '1042', firmware: '2.1' },
};

const firstFinding = (record: Loose) =>
  record.specs[0]!.conditions[0]!.findings[0] as unknown as Record<string, unknown>;

describe('a run that was edited and sealed anew before anybody signed is neither signed nor verified', () => {
  const edits: readonly [string, (folder: string) => void, RegExp][] = [
    [
      'a value outside its limits that passes',
      (folder) => edit(folder, (r) => (firstFinding(r)['outcome'] = { measured: true, value: 9 })),
      /passes, but its figures say fail/,
    ],
    [
      'an end before the beginning',
      (folder) => edit(folder, (r) => (r.endedAt = '2026-03-01T00:00:00Z')),
      /before it began/,
    ],
    [
      'an end that is to come',
      (folder) => edit(folder, (r) => (r.endedAt = '2199-01-01T00:00:00Z')),
      /later than it is now/,
    ],
    [
      'a finding without the capture that it rests on',
      (folder) =>
        edit(folder, (r) => {
          (r.specs[0]!.conditions[0] as unknown as Record<string, unknown>)['captures'] = [];
        }),
      /rests on the capture light, which is not there/,
    ],
    [
      'a simulated instrument that says it is real',
      (folder) => edit(folder, (r) => Object.assign(r.rig, { instruments: [posing] })),
      /says it is real, but belongs to the simulated lamp/,
    ],
    [
      'a capture that was deleted',
      (folder) => {
        rmSync(join(folder, 'captures/0000-light.npy'));
        reseal(folder, (files) => files.filter(({ file }) => !file.endsWith('.npy')));
      },
      /capture 0000-light\.npy is not among the sealed files/,
    ],
    [
      'a record that holds a key twice',
      (folder) => {
        const path = join(folder, 'run.json');
        const text = readFileSync(path, 'utf8').trimEnd();
        writeFileSync(path, `{"verdict":"fail",${text.slice(1)}`);
        reseal(folder);
      },
      /a key twice/,
    ],
    [
      'a seal that lists a file twice',
      (folder) => reseal(folder, (files) => [...files, files[0]!]),
      /lists "[^"]+" twice/,
    ],
    [
      'a seal of a file with a name that no run has',
      (folder) => {
        writeFileSync(join(folder, 'captures', 'a\u001b[2J'), '');
        reseal(folder, (files) => [...files, { ...files[0]!, file: 'captures/a\u001b[2J' }]);
      },
      /no run has a file/,
    ],
    [
      'a seal of another run',
      (folder) => {
        const path = join(folder, 'manifest.json');
        writeFileSync(path, readFileSync(path, 'utf8').replace(/"run":"[^"]*"/, '"run":"0"'));
      },
      /of another run/,
    ],
  ];
  it.each(edits)('%s', async (_, attack, sentence) => {
    const folder = await sealedRun(scratch());
    attack(folder);
    for (const said of await refusals(folder)) expect(said).toMatch(sentence);
  });
});

it('a name that is no UTF-8 is named, not tripped over', async () => {
  const folder = await sealedRun(scratch());
  writeFileSync(Buffer.concat([Buffer.from(`${folder}/captures/`), Buffer.from([0xff])]), '');
  const { problems } = await verifyRun(folder, [mira.public]);
  expect(problems.map(({ text }) => text).join()).toContain('name that is no UTF-8');
});

it('a sign-off of gigabytes is refused in a sentence', async () => {
  const folder = await sealedRun(scratch());
  const file = await sign(folder);
  truncateSync(join(folder, file), 3 * 2 ** 30);
  await expect(verifyRun(folder, [mira.public])).rejects.toThrow('expected at most 2 GiB');
});

it('a clock that stands before the end of the run signs nothing', async () => {
  const folder = await sealedRun(scratch());
  await expect(sign(folder, 'release', '2026-03-04T00:00:00Z')).rejects.toThrow(
    'is the clock right?',
  );
});

it('a clock that stands before the last decision signs nothing', async () => {
  const folder = await sealedRun(scratch());
  await sign(folder);
  await expect(sign(folder, 'reject', '2026-03-04T12:00:00Z')).rejects.toThrow('set its clock');
});

describe('a ledger', () => {
  const held = async (folder: string) => {
    const verified = await verifyAgainstLedger(folder, [mira.public]);
    return verified.problems.map(({ file, text }) => `${file} ${text}`).join('; ');
  };

  it('whose last line was cut off still tells which sign-off was there', async () => {
    const folder = await sealedRun(scratch());
    await sign(folder);
    const second = await sign(folder, 'reject');
    rmSync(join(folder, second));
    rmSync(join(folder, second.replace('.release.', '.test-result.')));
    const path = ledgerBeside(folder);
    truncateSync(path, readFileSync(path).length - 40);
    expect(await held(folder)).toContain('it was deleted after a line of the ledger');
  });

  it('whose lines go back in time is refused', async () => {
    const folder = await sealedRun(scratch());
    await sign(folder);
    const path = ledgerBeside(folder);
    const [line = ''] = readFileSync(path, 'utf8').split('\n');
    const next = { ...JSON.parse(line), time: '2026-02-01T00:00:00Z', before: sha256(line) };
    appendFileSync(path, `${JSON.stringify(next)}\n`);
    expect(await held(folder)).toContain('before the line above it');
  });

  it('that gives a sign-off another number is refused', async () => {
    const folder = await sealedRun(scratch());
    await sign(folder);
    const path = ledgerBeside(folder);
    writeFileSync(path, readFileSync(path, 'utf8').replace('"number":1', '"number":9'));
    expect(await held(folder)).toContain('is number 9 in line 1');
  });
});
