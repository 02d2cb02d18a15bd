import {
  createPrivateKey,
  createPublicKey,
  generateKeyPairSync,
  type KeyObject,
} from 'node:crypto';
import { keyId } from './dsse.ts';

export interface NewKey {
  /** Not encrypted yet: `encryptedPem` is what goes to a file. */
  readonly privateKey: KeyObject;
  /** SPKI PEM, to be given to whoever verifies. */
  readonly publicPem: string;
  readonly id: string;
}

/** A new Ed25519 key pair. */
export function newSigningKey(): NewKey {
  const { privateKey, publicKey } = generateKeyPairSync('ed25519');
  const publicPem = publicKey.export({ type: 'spki', format: 'pem' });
  return { privateKey, publicPem: String(publicPem), id: keyId(publicKey) };
}

export type ReadKey<Key> =
  | { readonly ok: true; readonly key: Key }
  | { readonly ok: false; readonly why: string };

export interface SigningKey {
  readonly privateKey: KeyObject;
  readonly publicKey: KeyObject;
  readonly id: string;
}

/**
 * A private key out of a PEM text; the passphrase counts only where it is encrypted. Not ok: no key, the wrong passphrase, or
 * another kind than Ed25519.
 */
export function readSigningKey(pem: string, passphrase: string): ReadKey<SigningKey> {
  if (!pem.includes('PRIVATE KEY-----')) {
    return {
      ok: false,
      why: 'expected a private key in PEM, found none; make one with evenfall keys new',
    };
  }
  let privateKey: KeyObject;
  try {
    privateKey = createPrivateKey({ key: pem, passphrase });
  } catch {
    return { ok: false, why: 'the passphrase does not open the key, or the key file is damaged' };
  }
  if (privateKey.asymmetricKeyType !== 'ed25519') return wrongKind(privateKey);
  const publicKey = createPublicKey(privateKey);
  return { ok: true, key: { privateKey, publicKey, id: keyId(publicKey) } };
}

/** A public key out of a PEM text. A private key is refused: it must not be handed around to verify. */
export function readPublicKey(pem: string): ReadKey<KeyObject> {
  if (!pem.includes('BEGIN PUBLIC KEY')) {
    const found = pem.includes('PRIVATE KEY') ? 'a private key' : 'something else';
    return {
      ok: false,
      why: `expected a public key in PEM (-----BEGIN PUBLIC KEY-----), found ${found}`,
    };
  }
  let key: KeyObject;
  try {
    key = createPublicKey(pem);
  } catch {
    return { ok: false, why: 'the public key is damaged' };
  }
  return key.asymmetricKeyType === 'ed25519' ? { ok: true, key } : wrongKind(key);
}

function wrongKind(key: KeyObject): { readonly ok: false; readonly why: string } {
  return { ok: false, why: `expected an Ed25519 key, found ${key.asymmetricKeyType ?? 'another'}` };
}
