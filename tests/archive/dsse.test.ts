import { createPrivateKey, createPublicKey, sign, verify } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import {
  isOwnSpelling,
  keyId,
  openEnvelope,
  preAuthenticationEncoding,
  sealEnvelope,
} from '../../harness/archive/dsse.ts';

const type = 'http://example.com/HelloWorld';
const body = Buffer.from('hello world');
// RFC 8032, 7.1, TEST 1 (confirmed in the RFC): secret and public key. The DER prefix is that of PKCS #8 for Ed25519.
const seed = '9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60';
const point = 'd75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a';
const privateKey = createPrivateKey({
  key: Buffer.from(`302e020100300506032b657004220420${seed}`, 'hex'),
  format: 'der',
  type: 'pkcs8',
});
const publicKey = createPublicKey(privateKey);
const sealed = sealEnvelope(type, body, privateKey, publicKey);

describe('a DSSE envelope', () => {
  it('signs the encoding that the specification gives for hello world (confirmed in DSSE v1.0.2)', () => {
    expect(preAuthenticationEncoding(type, body).toString()).toBe(
      'DSSEv1 29 http://example.com/HelloWorld 11 hello world',
    );
  });

  it('counts bytes, not characters', () => {
    const pae = preAuthenticationEncoding('é', Buffer.from('µ'));
    expect(pae.toString()).toBe('DSSEv1 2 é 2 µ');
  });

  it('is tested with the key of RFC 8032, which gives the signature of its TEST 1', () => {
    const raw = publicKey.export({ type: 'spki', format: 'der' }).subarray(-32).toString('hex');
    expect(raw).toBe(point);
    expect(sign(null, Buffer.alloc(0), privateKey).toString('hex')).toBe(
      'e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e06522490155' +
        '5fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b',
    );
  });

  it('carries the signature that this key gives for hello world (computed, and by an independent library)', () => {
    expect(JSON.parse(sealed)).toEqual({
      payload: 'aGVsbG8gd29ybGQ=',
      payloadType: type,
      signatures: [
        {
          keyid: keyId(publicKey),
          sig: '4DHX3Zn4qpBKvEj7maE8O9u9bjXEnPLLnyXVUJ2PXJR8DSLcL3QDpFvfJOj3pB/SPHsl6Jg4boxsMb6KvuYABw==',
        },
      ],
    });
    expect(openEnvelope(sealed, type, [publicKey])).toEqual({
      ok: true,
      payload: body,
      signers: [keyId(publicKey)],
    });
  });

  it('is read with the other base64 alphabet, further fields and further signatures, as the specification asks', () => {
    const envelope = JSON.parse(sealed);
    envelope.signatures[0].sig = envelope.signatures[0].sig
      .replaceAll('+', '-')
      .replaceAll('/', '_');
    envelope.signatures.unshift({ sig: 'AAAA' });
    envelope.note = 'unknown';
    const text = JSON.stringify(envelope);
    expect(openEnvelope(text, type, [publicKey]).ok).toBe(true);
    // As a stored file it is not what was written.
    expect(isOwnSpelling(text, [keyId(publicKey)])).toBe(false);
  });

  it.each([
    ['another payload', { payload: 'aGVsbG8gd29ybGR=' }, /does not fit its content|not/],
    ['another type', { payloadType: 'text/plain' }, /payload type/],
    ['no signature', { signatures: [] }, /no signature/],
  ])('is refused with %s', (_, change, why) => {
    const envelope = { ...JSON.parse(sealed), ...change };
    if ('payload' in change) envelope.payload = Buffer.from('hello w0rld').toString('base64');
    const opened = openEnvelope(JSON.stringify(envelope), type, [publicKey]);
    expect(opened.ok).toBe(false);
    expect(!opened.ok && opened.why).toMatch(why);
  });

  it('is not accepted in any other spelling, whichever byte is changed', () => {
    const accepted: number[] = [];
    for (let at = 0; at < sealed.length; at++) {
      const bytes = Buffer.from(sealed);
      bytes[at]! ^= 1;
      const text = bytes.toString('latin1');
      const opened = openEnvelope(text, type, [publicKey]);
      if (opened.ok && isOwnSpelling(text, opened.signers)) accepted.push(at);
    }
    expect(accepted).toEqual([]);
    expect(isOwnSpelling(sealed, [keyId(publicKey)])).toBe(true);
  });

  it('leaves no doubt that the platform verifies what it signs', () => {
    const pae = preAuthenticationEncoding(type, body);
    const sig = Buffer.from(JSON.parse(sealed).signatures[0].sig, 'base64');
    expect(verify(null, pae, publicKey, sig)).toBe(true);
    expect(verify(null, Buffer.concat([pae, Buffer.from(' ')]), publicKey, sig)).toBe(false);
  });
});
