import { execFileSync, spawnSync } from 'node:child_process';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { envelopeFromJSON } from '@sigstore/bundle';
import { crypto, dsse } from '@sigstore/core';
import { describe, expect, it } from 'vitest';
import * as z from 'zod';
import { preAuthenticationEncoding } from '../../harness/archive/dsse.ts';
import { scratchFolders } from './scratch.ts';
import { newPerson, sign, signedRun } from './signed-run.ts';

const scratch = scratchFolders();
const hasOpenssl = spawnSync('openssl', ['version']).status === 0;
const inToto = 'application/vnd.in-toto+json';

/** The envelopes of a run that two persons signed, with the public key of each. */
async function envelopes() {
  const { folder, mira } = await signedRun(scratch());
  const otto = newPerson('Otto');
  await sign(folder, otto);
  return readdirSync(join(folder, 'signoffs')).map((name) => ({
    name,
    text: readFileSync(join(folder, 'signoffs', name), 'utf8'),
    publicPem: name.includes('mira') ? mira.publicPem : otto.publicPem,
    otherPem: name.includes('mira') ? otto.publicPem : mira.publicPem,
  }));
}

/** Reads an envelope as @sigstore/bundle does; nothing of ours takes part. */
function read(text: string) {
  const { payload, payloadType, signatures } = envelopeFromJSON(JSON.parse(text));
  const [signature] = signatures;
  return { payload, payloadType, signature: signature!.sig, keyid: signature!.keyid };
}

describe('an envelope, read by @sigstore/bundle and @sigstore/core', () => {
  it('is encoded for signing as they encode it', async () => {
    for (const { text } of await envelopes()) {
      const { payload, payloadType } = read(text);
      expect(payloadType).toBe(inToto);
      const theirs = dsse.preAuthEncoding(payloadType, payload);
      expect(preAuthenticationEncoding(payloadType, payload).equals(theirs)).toBe(true);
    }
  });

  it('verifies with its own public key, and with no other, nor after a change', async () => {
    for (const { text, publicPem, otherPem } of await envelopes()) {
      const { payload, payloadType, signature } = read(text);
      const signed = dsse.preAuthEncoding(payloadType, payload);
      const key = crypto.createPublicKey(publicPem);
      expect(crypto.verify(signed, key, signature)).toBe(true);
      expect(crypto.verify(signed, crypto.createPublicKey(otherPem), signature)).toBe(false);
      payload[10]! ^= 1;
      const changed = dsse.preAuthEncoding(payloadType, payload);
      expect(crypto.verify(changed, key, signature)).toBe(false);
    }
  });
});

describe.skipIf(!hasOpenssl)(
  'an envelope, verified by the openssl command (skipped where it is not installed)',
  () => {
    /** Over an encoding that is not ours. */
    function verified(text: string, publicPem: string, change = (bytes: Buffer) => bytes): boolean {
      const folder = scratch();
      const { payload, payloadType, signature } = read(text);
      const files = ['signed', 'sig', 'key'].map((name) => join(folder, name));
      const [signedFile = '', sigFile = '', keyFile = ''] = files;
      writeFileSync(signedFile, dsse.preAuthEncoding(payloadType, change(payload)));
      writeFileSync(sigFile, signature);
      writeFileSync(keyFile, publicPem);
      const args = ['pkeyutl', '-verify', '-rawin', '-pubin', '-inkey', keyFile];
      return spawnSync('openssl', [...args, '-sigfile', sigFile, '-in', signedFile]).status === 0;
    }

    it('holds with its own key, and with no other, nor after a change', async () => {
      for (const { text, publicPem, otherPem } of await envelopes()) {
        expect(verified(text, publicPem)).toBe(true);
        expect(verified(text, otherPem)).toBe(false);
        const changed = (bytes: Buffer) => Buffer.concat([bytes, Buffer.from(' ')]);
        expect(verified(text, publicPem, changed)).toBe(false);
      }
    });

    it('names its key by the SHA-256 that openssl gives of the public key', async () => {
      for (const { text, publicPem } of await envelopes()) {
        const der = execFileSync('openssl', ['pkey', '-pubin', '-outform', 'DER'], {
          input: publicPem,
        });
        const digest = execFileSync('openssl', ['dgst', '-sha256', '-r'], { input: der });
        expect(read(text).keyid).toBe(digest.toString().split(' ')[0]);
      }
    });
  },
);

/**
 * In-toto Statement v1 and the test-result predicate v0.1, as the public specification describes them (recalled from memory): npm
 * has no schema of them by others. Fields that the specification does not know are let pass in a predicate and refused elsewhere.
 */
const digestSet = z.record(z.string().min(1), z.string().regex(/^[0-9a-f]+$/));
const resource = z
  .strictObject({ name: z.string(), uri: z.string(), digest: digestSet })
  .partial()
  .refine(({ name, uri, digest }) => Boolean(name || uri || digest));
const statement = z.strictObject({
  _type: z.literal('https://in-toto.io/Statement/v1'),
  subject: z.array(resource.refine(({ digest }) => digest !== undefined)).min(1),
  predicateType: z.url(),
  predicate: z.record(z.string(), z.unknown()),
});
const testResult = z.looseObject({
  result: z.enum(['PASSED', 'WARNED', 'FAILED']),
  configuration: z.array(resource),
  passedTests: z.array(z.string()).optional(),
  warnedTests: z.array(z.string()).optional(),
  failedTests: z.array(z.string()).optional(),
});

it('the payloads are in-toto statements of version 1, with subjects that differ in their names', async () => {
  const types: string[] = [];
  for (const { name, text } of await envelopes()) {
    const parsed = statement.parse(JSON.parse(read(text).payload.toString('utf8')));
    const names = parsed.subject.map((one) => one.name);
    expect(new Set(names).size).toBe(names.length);
    types.push(parsed.predicateType);
    if (!name.includes('test-result')) continue;
    expect(parsed.predicateType).toBe('https://in-toto.io/attestation/test-result/v0.1');
    testResult.parse(parsed.predicate);
  }
  expect(new Set(types).size).toBe(2);
});
