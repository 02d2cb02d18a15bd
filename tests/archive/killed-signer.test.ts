import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'esbuild';
import { beforeAll, expect, it } from 'vitest';
import { ledgerBeside, readLedger } from '../../harness/archive/ledger.ts';
import { signRun } from '../../harness/archive/sign-run.ts';
import { verifyAgainstLedger } from '../../harness/archive/verify-against-ledger.ts';
import { scratchFolders } from './scratch.ts';
import { newPerson, sealedRun } from './signed-run.ts';

/** EVENFALL_FULL=1 asks for as many as a writer of runs is killed. */
const kills = process.env['EVENFALL_FULL'] ? 200 : 8;
const scratch = scratchFolders();
const signer = join(import.meta.dirname, '../../node_modules/.cache/tireless-signer.mjs');

beforeAll(async () => {
  await build({
    entryPoints: [join(import.meta.dirname, 'tireless-signer.ts')],
    bundle: true,
    platform: 'node',
    format: 'esm',
    outfile: signer,
    logLevel: 'error',
  });
});

/** Starts a signer, kills it without warning some time after its first signature, and returns what it had promised by then. */
function killed(args: readonly string[], milliseconds: number): Promise<string[]> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [signer, ...args], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    let text = '';
    let armed = false;
    child.stdout.on('data', (piece: Buffer) => {
      text += piece.toString();
      if (armed || !text.includes('signed')) return;
      armed = true;
      setTimeout(() => child.kill('SIGKILL'), milliseconds);
    });
    child.on('error', reject);
    child.on('close', () => resolve(text.split('\n').slice(1, -1)));
  });
}

it(
  `a signer that is killed at any of ${kills} moments loses no sign-off, and leaves no half line`,
  async () => {
    const mira = newPerson('Mira');
    const pem = String(mira.key.privateKey.export({ type: 'pkcs8', format: 'pem' }));
    for (let left = kills; left > 0; left--) {
      const folder = await sealedRun(join(scratch(), 'reports'));
      const ledger = ledgerBeside(folder);
      const promised = await killed([folder, pem], Math.random() * 60);
      const before = await readLedger(ledger);
      expect(before?.problem).toBeNull();
      const entered = before?.entries.map(({ signoff }) => `signed ${signoff}`) ?? [];
      expect(entered).toEqual(expect.arrayContaining(promised));
      // Nobody lost a sign-off: whatever the moment, this is no deleted decision.
      const between = await verifyAgainstLedger(folder, [mira.public]);
      expect(between.problems.filter(({ text }) => /deleted|ledger/.test(text))).toEqual([]);
      await signRun(folder, {
        ...{ key: mira.key, name: 'Mira', meaning: 'approval', decision: 'release', waivers: [] },
        ...{ signedAt: '2026-03-05T09:00:00Z', ledger },
      });
      expect(await verifyAgainstLedger(folder, [mira.public], { ledger })).toMatchObject({
        decision: 'released',
        problems: [],
        notes: [],
      });
      expect(existsSync(`${ledger}.lock`)).toBe(false);
    }
  },
  kills * 8_000 + 120_000,
);
