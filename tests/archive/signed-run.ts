import { join } from 'node:path';
import { encryptedPem } from '../../harness/archive/encrypted-key.ts';
import { createRunFolder } from '../../harness/archive/run-folder.ts';
import { signRun } from '../../harness/archive/sign-run.ts';
import { newSigningKey, readPublicKey } from '../../harness/archive/signing-key.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import {
  headerOf,
  sampleCapture,
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';

export const passphrase = 'a long passphrase';

/** Somebody with a key. It is encrypted only on demand: that takes a guesser's time, and ours. */
export function newPerson(name: string) {
  const { privateKey, publicPem, id } = newSigningKey();
  const shown = readPublicKey(publicPem);
  if (!shown.ok) throw new Error('a fresh key must open');
  const key = { privateKey, publicKey: shown.key, id };
  const privatePem = () => encryptedPem(privateKey, passphrase);
  return { name, privatePem, publicPem, id, key, public: shown.key };
}

/** A sealed run with one capture and two reports. */
export async function sealedRun(root: string, over: Partial<RunRecord> = {}): Promise<string> {
  const capture = sampleCapture();
  const condition = sampleCondition({
    captures: [capture],
    findings: [sampleFinding({ captures: [capture.id] })],
  });
  const record = sampleRecord({ specs: [sampleSpec('fade-on-time', [condition])], ...over });
  const folder = await createRunFolder(root, headerOf(record));
  for (const { spec, conditions } of record.specs) {
    for (const one of conditions) {
      for (const stored of one.captures)
        await folder.saveCapture(stored, Int16Array.of(1, 2, 3, 4));
      await folder.saveCondition(spec, one);
    }
  }
  await folder.finish(record, [
    { name: 'junit.xml', content: '<testsuites/>\n' },
    { name: 'index.html', content: '<!doctype html>\n' },
  ]);
  return folder.path;
}

export async function sign(folder: string, person: ReturnType<typeof newPerson>) {
  return signRun(folder, {
    key: person.key,
    name: person.name,
    meaning: 'approval',
    decision: 'release',
    waivers: [],
    signedAt: '2026-03-05T08:00:00Z',
  });
}

export async function signedRun(root: string, over: Partial<RunRecord> = {}) {
  const mira = newPerson('Mira');
  const folder = await sealedRun(root, over);
  const file = await sign(folder, mira);
  return { folder, mira, file, path: join(folder, file) };
}
