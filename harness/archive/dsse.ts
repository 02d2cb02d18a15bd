import { createHash, type KeyObject, sign, verify } from 'node:crypto';
import * as z from 'zod';

/** DSSE v1.0.2 envelopes (confirmed in the public specification). */
export const inTotoPayloadType = 'application/vnd.in-toto+json';

const envelopeSchema = z.looseObject({
  payload: z.string(),
  payloadType: z.string(),
  signatures: z.array(z.looseObject({ keyid: z.string().optional(), sig: z.string() })),
});

export type Opened =
  | {
      readonly ok: true;
      /** The bytes that were signed: read these, never the envelope again. */
      readonly payload: Buffer;
      /** `keyId`s of the given keys that signed. */
      readonly signers: readonly string[];
    }
  | { readonly ok: false; readonly why: string };

/** What is signed: `DSSEv1 LEN(type) type LEN(body) body`, lengths in bytes. */
export function preAuthenticationEncoding(payloadType: string, body: Uint8Array): Buffer {
  const head = `DSSEv1 ${Buffer.byteLength(payloadType)} ${payloadType} ${body.length} `;
  return Buffer.concat([Buffer.from(head), body]);
}

/** SHA-256 of the public key's SPKI DER, hexadecimal. DSSE leaves the choice open; it is a hint, never a proof. */
export function keyId(publicKey: KeyObject): string {
  const der = publicKey.export({ type: 'spki', format: 'der' });
  return createHash('sha256').update(der).digest('hex');
}

/** The text of an envelope around `body`, signed with an Ed25519 key. */
export function sealEnvelope(
  payloadType: string,
  body: Uint8Array,
  privateKey: KeyObject,
  publicKey: KeyObject,
): string {
  const sig = sign(null, preAuthenticationEncoding(payloadType, body), privateKey);
  return envelopeText(payloadType, Buffer.from(body).toString('base64'), [
    { keyid: keyId(publicKey), sig: sig.toString('base64') },
  ]);
}

function envelopeText(
  payloadType: string,
  payload: string,
  signatures: readonly { readonly keyid: string; readonly sig: string }[],
): string {
  return `${JSON.stringify({ payload, payloadType, signatures }, null, 1)}\n`;
}

/**
 * Opens an envelope with the keys that are trusted. Not ok: no envelope, another payload type, or no signature that one
 * of the keys made. Both base64 alphabets are read, further fields and signatures are let pass, as DSSE asks.
 */
export function openEnvelope(
  text: string,
  payloadType: string,
  trusted: readonly KeyObject[],
): Opened {
  const parsed = envelopeSchema.safeParse(parseJson(text));
  if (!parsed.success) return { ok: false, why: 'it is not a DSSE envelope' };
  const envelope = parsed.data;
  if (envelope.payloadType !== payloadType) {
    return { ok: false, why: `expected the payload type ${payloadType}, found another` };
  }
  if (envelope.signatures.length === 0) return { ok: false, why: 'it has no signature' };
  const payload = Buffer.from(envelope.payload, 'base64');
  const signed = preAuthenticationEncoding(payloadType, payload);
  const signers = trusted.filter((key) =>
    envelope.signatures.some(({ sig }) => verifies(signed, key, Buffer.from(sig, 'base64'))),
  );
  if (signers.length > 0) return { ok: true, payload, signers: signers.map(keyId) };
  const own = new Set(trusted.map(keyId));
  const claimed = envelope.signatures.map(({ keyid }) => keyid ?? '');
  const why = claimed.some((id) => own.has(id))
    ? 'its signature does not match its content: one of them was changed'
    : `it was signed with the key ${claimed.map((id) => id.slice(0, 12) || 'without id').join(', ')}…, which is not among the keys given; if it is to be trusted, give its public key too`;
  return { ok: false, why };
}

function verifies(signed: Uint8Array, key: KeyObject, signature: Uint8Array): boolean {
  return key.asymmetricKeyType === 'ed25519' && verify(null, signed, key, signature);
}

/**
 * Whether the text is byte for byte what `sealEnvelope` writes. Base64 and JSON allow many spellings of one envelope,
 * and the key id is not signed: for a file that must not change, only one spelling will do.
 */
export function isOwnSpelling(text: string, signers: readonly string[]): boolean {
  const parsed = envelopeSchema.safeParse(parseJson(text));
  if (!parsed.success) return false;
  const { payload, payloadType, signatures } = parsed.data;
  const spelled = signatures.map(({ sig }, index) => ({
    keyid: signers[index] ?? '',
    sig: Buffer.from(sig, 'base64').toString('base64'),
  }));
  const body = Buffer.from(payload, 'base64').toString('base64');
  return text === envelopeText(payloadType, body, spelled);
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
