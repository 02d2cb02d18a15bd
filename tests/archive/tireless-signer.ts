import { createPrivateKey, createPublicKey } from 'node:crypto';
import { keyId } from '../../harness/archive/dsse.ts';
import { ledgerBeside } from '../../harness/archive/ledger.ts';
import { signRun } from '../../harness/archive/sign-run.ts';

/** A process that signs one run again and again until it is killed. What it prints is a promise: `signed FILE` once it is. */
const [folder = '', pem = ''] = process.argv.slice(2);
const privateKey = createPrivateKey(pem);
const publicKey = createPublicKey(privateKey);
const key = { privateKey, publicKey, id: keyId(publicKey) };

process.stdout.write('ready\n');
for (;;) {
  const file = await signRun(folder, {
    ...{ key, name: 'Mira', meaning: 'review', decision: 'hold', waivers: [] },
    ...{ signedAt: '2026-03-05T08:00:00Z', ledger: ledgerBeside(folder) },
  });
  process.stdout.write(`signed ${file}\n`);
}
