import { generateKeyPairSync } from 'node:crypto';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { encode } from 'fast-png';
import { bankPlaces, decodeBank } from '../../drivers/dali/bank-places.ts';
import { defaultBridgeLines, readBridgeLine } from '../../drivers/dali/bridge-lines.ts';
import { decodeFound, encodeFound } from '../../drivers/dmx/rdm/discovery-response.ts';
import { decodeDeviceInfo } from '../../drivers/dmx/rdm/parameters.ts';
import { decodeRdm, encodeRdm } from '../../drivers/dmx/rdm/rdm-packet.ts';
import { uidOf } from '../../drivers/dmx/rdm/uid.ts';
import { debugSectionsOf } from '../../drivers/plant/firmware/debug/debug-sections.ts';
import { sourceFrames } from '../../drivers/plant/firmware/debug/source-frames.ts';
import { firmwareImage } from '../../drivers/plant/firmware/firmware-image.ts';
import { driverSettings } from '../../drivers/registry.ts';
import { decodeExtended, encodeDiscovery } from '../../drivers/sacn/extended-packet.ts';
import { decodeSacn, encodeSacn } from '../../drivers/sacn/packet.ts';
import { readNumber } from '../../drivers/scpi/numbers.ts';
import { readProfile } from '../../drivers/scpi/read-profile.ts';
import { unpackCapture, writeCapture } from '../../harness/archive/capture-file.ts';
import { curvesFile, encodeCurves, readCurvesFile } from '../../harness/archive/curves-file.ts';
import { inTotoPayloadType, openEnvelope, sealEnvelope } from '../../harness/archive/dsse.ts';
import { journalFile, readJournal } from '../../harness/archive/journal.ts';
import { manifestText, parseManifest } from '../../harness/archive/manifest.ts';
import { readPublicKey, readSigningKey } from '../../harness/archive/signing-key.ts';
import {
  parseReleaseStatement,
  parseTestResultStatement,
} from '../../harness/archive/statement.ts';
import { readLamp } from '../../harness/bench/lamp-file.ts';
import { readRig } from '../../harness/bench/rig-file.ts';
import { readRequirements } from '../../harness/cli/authoring/read-requirements.ts';
import { readCsv } from '../../harness/files/csv.ts';
import { decodeNpy, encodeNpy } from '../../harness/files/npy.ts';
import { decodePngFrame } from '../../harness/files/png-frame.ts';
import { decodeWav } from '../../harness/files/wav.ts';
import { decodeWaveform } from '../../harness/files/waveform-file.ts';
import { curvesOf } from '../../harness/record/curves.ts';
import { parseRunRecord } from '../../harness/record/parse-run-record.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { parseQuantity } from '../../harness/units/parse-quantity.ts';
import { parseNews } from '../../harness/workflow/news/read-news.ts';
import { parsePolicy } from '../../harness/workflow/signing/read-policy.ts';
import { buildSource } from '../firmware/build-firmware.ts';
import { handMadeModule } from '../firmware/hand-made-module.ts';
import { sampleCapture, sampleRecord } from '../record/sample-record.ts';
import { sampleRecord as recordWithCharts } from '../report/sample-record.ts';
import { useRecord, useTrend } from './record-uses.ts';

/** One way into the program for bytes that a stranger wrote. */
export interface Reader {
  readonly name: string;
  /** `json`: changed value by value as well as byte by byte. */
  readonly kind: 'bytes' | 'json';
  /** Sound inputs, from which bad ones are made. */
  readonly seeds: () => readonly Uint8Array[];
  /** Returns, or throws what `isKnown` knows. */
  readonly read: (bytes: Uint8Array) => unknown;
}

const root = resolve(import.meta.dirname, '../..');
const shipped = (...files: string[]) => files.map((file) => readFileSync(join(root, file)));
/** Files of captures as a run stores them. */
const packedCaptures = await Promise.all(
  [Float32Array.of(1, 2, 3), Int16Array.of(1, -2, 32_767)].map(async (codes) => {
    const folder = mkdtempSync(join(tmpdir(), 'evenfall-fuzz-'));
    mkdirSync(join(folder, 'captures'));
    const capture = sampleCapture({ file: 'x.codes', samples: codes.length });
    await (await writeCapture(folder, capture, codes)).flushed;
    const bytes = readFileSync(join(folder, 'captures/x.codes'));
    rmSync(folder, { recursive: true });
    return bytes;
  }),
);

const texts = (...lines: string[]) => lines.map((line) => Buffer.from(line));
const textOf = (bytes: Uint8Array) => Buffer.from(bytes).toString('utf8');
const json = (...values: unknown[]) => texts(...values.map((value) => JSON.stringify(value)));

const lamp = (() => {
  const read = readLamp(textOf(shipped('specs/lamps/alcove-6.lamp.yaml')[0]!), 'lamp');
  if (!('lamp' in read)) throw new Error('the shipped lamp cannot be read');
  return read.lamp;
})();
const keys = generateKeyPairSync('ed25519');
const cipher = { cipher: 'aes-256-cbc', passphrase: 'a long passphrase' } as const;
const pems = {
  private: String(keys.privateKey.export({ type: 'pkcs8', format: 'pem', ...cipher })),
  public: String(keys.publicKey.export({ type: 'spki', format: 'pem' })),
};
const statement = {
  ...{ _type: 'https://in-toto.io/Statement/v1', predicateType: 'x', predicate: {} },
  subject: [{ name: 'manifest.json', digest: { sha256: 'ab'.repeat(32) } }],
};
const digest = 'ab'.repeat(32);
const uid = uidOf(0x7ff0, 1);
const table = 'time (s),warm (lx),cool (lx)\n0,1.5,2\n0.001,1.6,2.1\n0.002,1.7,2.2\n';
const wav = (() => {
  const bytes = Buffer.alloc(44 + 8);
  bytes.write('RIFF', 0);
  bytes.writeUInt32LE(44, 4);
  bytes.write('WAVEfmt ', 8);
  bytes.writeUInt32LE(16, 16);
  for (const [at, value] of [
    [20, 1],
    [22, 1],
    [32, 2],
    [34, 16],
  ] as const)
    bytes.writeUInt16LE(value, at);
  bytes.writeUInt32LE(20_000, 24);
  bytes.writeUInt32LE(40_000, 28);
  bytes.write('data', 36);
  bytes.writeUInt32LE(8, 40);
  return bytes;
})();
const png = (depth: 8 | 16, channels: 1 | 3) =>
  encode({
    ...{ width: 8, height: 6, depth, channels },
    data: new (depth === 8 ? Uint8Array : Uint16Array)(48 * channels).fill(99),
  });

const soundRuns = Array.from({ length: 10 }, (_, k) =>
  sampleRecord({ startedAt: `2026-03-${10 + k}T05:06:07Z` }),
);

async function inFolder<Found>(use: (folder: string) => Promise<Found>): Promise<Found> {
  const folder = mkdtempSync(join(tmpdir(), 'evenfall-fuzz-'));
  try {
    return await use(folder);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** Every one of them, in the order of the alphabet. */
export const readers: readonly Reader[] = [
  {
    name: 'bank',
    kind: 'bytes',
    seeds: () => [Uint8Array.of(3, 1, 2, 3, 4, 5, 6)],
    read: (bytes) => Object.values(bankPlaces).map((place) => decodeBank(place, [...bytes])),
  },
  {
    name: 'bridge-line',
    kind: 'bytes',
    seeds: () => texts('A 7f', 'N', 'K', 'X', 'E frame'),
    read: (bytes) => readBridgeLine(defaultBridgeLines, textOf(bytes)),
  },
  {
    name: 'csv',
    kind: 'bytes',
    seeds: () => texts(table, table.replaceAll(',', '\t'), `"t","x"\n"0","1"\n"1","2"\n`),
    read: (bytes) => [readCsv(textOf(bytes)), readCsv(textOf(bytes), 1e4)],
  },
  {
    name: 'curves',
    kind: 'bytes',
    seeds: () =>
      [recordWithCharts(), sampleRecord()].map((own) => encodeCurves('a', curvesOf(own))),
    read: (bytes) =>
      inFolder(async (folder) => {
        writeFileSync(join(folder, curvesFile), bytes);
        return await readCurvesFile(folder, 'a');
      }),
  },
  {
    name: 'envelope',
    kind: 'json',
    seeds: () => [
      Buffer.from(
        sealEnvelope(inTotoPayloadType, json(statement)[0]!, keys.privateKey, keys.publicKey),
      ),
    ],
    read: (bytes) => openEnvelope(textOf(bytes), inTotoPayloadType, [keys.publicKey]),
  },
  {
    name: 'debug-information',
    kind: 'bytes',
    seeds: () =>
      ['-gdwarf-4', '-gdwarf-5'].map((version) =>
        buildSource('sources/traps.c', [version, '-O2', '-DKEPT=']),
      ),
    read: (bytes) =>
      Array.from({ length: 40 }, (_, k) =>
        sourceFrames(debugSectionsOf(bytes), { offset: 5 * k, start: 2 }),
      ),
  },
  {
    name: 'firmware',
    kind: 'bytes',
    seeds: () => [handMadeModule({}), handMadeModule({ start: [0x01], pages: 3 })],
    read: (bytes) => firmwareImage(bytes, 'fuzz.wasm'),
  },
  {
    name: 'journal',
    kind: 'bytes',
    seeds: () => [
      Buffer.concat(
        sampleRecord().specs.flatMap(({ spec, conditions }) =>
          conditions.map((condition) => Buffer.from(`${JSON.stringify({ spec, condition })}\n`)),
        ),
      ),
    ],
    read: (bytes) =>
      inFolder(async (folder) => {
        writeFileSync(join(folder, journalFile), bytes);
        return await readJournal(folder);
      }),
  },
  {
    name: 'lamp',
    kind: 'bytes',
    seeds: () => shipped('specs/lamps/alcove-6.lamp.yaml', 'specs/lamps/alcove-1.lamp.yaml'),
    read: (bytes) => readLamp(textOf(bytes), 'fuzz.lamp.yaml'),
  },
  {
    name: 'manifest',
    kind: 'json',
    seeds: () =>
      texts(
        manifestText({
          run: '0123456789abcdef',
          files: [{ file: 'run.json', bytes: 1, sha256: digest }],
        } as never),
      ),
    read: (bytes) => parseManifest(textOf(bytes), 'manifest.json'),
  },
  {
    name: 'capture',
    kind: 'bytes',
    seeds: () => packedCaptures,
    read: (bytes) => unpackCapture(bytes, 'capture'),
  },
  {
    name: 'npy',
    kind: 'bytes',
    seeds: () => [encodeNpy(Float32Array.of(1, 2, 3)), encodeNpy(Int16Array.of(1, -2, 32_767))],
    read: (bytes) => [decodeNpy(bytes), decodeWaveform(bytes, 1e4)],
  },
  {
    name: 'number',
    kind: 'bytes',
    seeds: () => texts('+1.234567E-03', '9.9E37', '1', '-0.5'),
    read: (bytes) => readNumber(textOf(bytes), 'fuzz', 'a figure'),
  },
  {
    name: 'picture',
    kind: 'bytes',
    seeds: () => [png(8, 1), png(16, 3)],
    read: (bytes) => decodePngFrame(bytes, { transfer: 'srgb', dark: 0.01 }),
  },
  {
    name: 'news',
    kind: 'bytes',
    seeds: () =>
      texts(
        'targets:\n  - target: team\n    on: [fail, ended]\n    tags: [nightly]\n    mail: { from: a@example.com, to: [b@example.com], within: 5 s }\n',
        'targets:\n  - { target: board, on: [pass], webhook: { url: "https://example.com/x", secret: { env: BOARD } } }\n  - { target: door, on: [error], program: { command: [x] } }\n',
      ),
    read: (bytes) => parseNews(textOf(bytes), 'fuzz.news.yaml'),
  },
  {
    name: 'policy',
    kind: 'bytes',
    seeds: () =>
      texts(
        'policy: gallery\nsigners:\n  - name: Mira\n    key: mira.pub.pem\nrelease:\n  signatures: 1\n  no-self-approval: true\n',
      ),
    read: (bytes) => parsePolicy(textOf(bytes), 'fuzz.policy.yaml'),
  },
  {
    name: 'private-key',
    kind: 'bytes',
    seeds: () => texts(pems.private),
    read: (bytes) => readSigningKey(textOf(bytes), 'a long passphrase'),
  },
  {
    name: 'profile',
    kind: 'bytes',
    seeds: () => shipped('specs/rigs/tarn-d16.profile.yaml', 'specs/rigs/tarn-p60.profile.yaml'),
    read: (bytes) => readProfile(textOf(bytes), 'fuzz.profile.yaml'),
  },
  {
    name: 'public-key',
    kind: 'bytes',
    seeds: () => texts(pems.public),
    read: (bytes) => readPublicKey(textOf(bytes)),
  },
  {
    name: 'quantity',
    kind: 'bytes',
    seeds: () => texts('20 ms', '0.1 %', '1/1000 s', '2700 K', '-5'),
    read: (bytes) => parseQuantity(textOf(bytes)),
  },
  {
    name: 'rdm',
    kind: 'bytes',
    seeds: () => [
      encodeRdm({
        ...{ to: uid, from: uid, transaction: 1, portOrType: 1, waiting: 0, subDevice: 0 },
        ...{ commandClass: 0x20, parameter: 0x60, data: [] },
      }),
      encodeFound(uid),
    ],
    read: (bytes) => [decodeRdm(bytes), decodeFound(bytes), decodeDeviceInfo([...bytes])],
  },
  {
    name: 'record',
    kind: 'json',
    seeds: () => json(sampleRecord(), recordWithCharts()),
    read: (bytes) => {
      const parsed = parseRunRecord(parsedJson(bytes));
      if (parsed.ok) useRecord(parsed.record);
    },
  },
  {
    name: 'requirements',
    kind: 'bytes',
    seeds: () => texts('id,text\nREQ-1,It dims.\n"REQ-2","It, too, fades."\n'),
    read: (bytes) => readRequirements(textOf(bytes), 'fuzz.csv'),
  },
  {
    name: 'rig',
    kind: 'bytes',
    seeds: () => shipped('specs/rigs/emulated.rig.yaml', 'specs/rigs/simulated.rig.yaml'),
    read: (bytes) => readRig(textOf(bytes), 'fuzz.rig.yaml', driverSettings),
  },
  {
    name: 'sacn',
    kind: 'bytes',
    seeds: () => [
      encodeSacn({
        ...{ cid: new Uint8Array(16), sourceName: 'fuzz', priority: 100, syncAddress: 0 },
        ...{ sequence: 1, preview: false, terminated: false, forceSync: false, universe: 1 },
        ...{ startCode: 0, slots: Uint8Array.of(1, 2, 3) },
      } as never),
      encodeDiscovery({
        ...{ cid: new Uint8Array(16), sourceName: 'fuzz', page: 0, lastPage: 0, universes: [1, 2] },
      }),
    ],
    read: (bytes) => [decodeSacn(bytes), decodeExtended(bytes)],
  },
  {
    name: 'spec',
    kind: 'bytes',
    seeds: () =>
      shipped(
        'specs/fading/crossfade-arrives-together.spec.yaml',
        'specs/dimming/reaches-bottom.spec.yaml',
        'specs/flicker/eye.spec.yaml',
      ),
    read: (bytes) =>
      readSpec(textOf(bytes), { file: 'fuzz.spec.yaml', folder: 'fuzz', digest, lamp }),
  },
  {
    name: 'statement',
    kind: 'json',
    seeds: () => json(statement),
    read: (bytes) => [parseReleaseStatement(bytes), parseTestResultStatement(bytes)],
  },
  {
    name: 'trend',
    kind: 'json',
    seeds: () => json(sampleRecord()),
    read: (bytes) => {
      const parsed = parseRunRecord(parsedJson(bytes));
      if (parsed.ok) useTrend(parsed.record, soundRuns);
    },
  },
  {
    name: 'wav',
    kind: 'bytes',
    seeds: () => [wav],
    read: (bytes) => [decodeWav(bytes), decodeWaveform(bytes, undefined)],
  },
];

/** undefined where it is none: every reader of JSON takes what the library made of it. */
function parsedJson(bytes: Uint8Array): unknown {
  try {
    return JSON.parse(textOf(bytes));
  } catch {
    return undefined;
  }
}
