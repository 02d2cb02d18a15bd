import { createCipheriv, type KeyObject, pbkdf2, randomBytes } from 'node:crypto';
import { promisify } from 'node:util';
import { type DerValue, der, integerOf, isInteger, readDer } from './der.ts';

/** Object identifiers as DER has them, hexadecimal. */
const identifiers = {
  pbes2: '2a864886f70d01050d',
  pbkdf2: '2a864886f70d01050c',
  scrypt: '2b06010401da47040b',
  hmacSha1: '2a864886f70d0207',
  hmacSha256: '2a864886f70d0209',
  hmacSha512: '2a864886f70d020b',
  aes256Cbc: '60864801650304012a',
} as const;

/**
 * Rounds of PBKDF2 that a guess has to cost, by the hash (OWASP Password Storage Cheat Sheet, recalled from memory). scrypt would
 * cost a guesser memory too, but OpenSSL refuses to read a key file with more than 32 MiB of it, a quarter of what is recommended.
 */
const enoughRounds: Readonly<Record<string, number>> = {
  [identifiers.hmacSha1]: 1_300_000,
  [identifiers.hmacSha256]: 600_000,
  [identifiers.hmacSha512]: 210_000,
};
const rounds = 600_000;
/** N × r of scrypt with the recommended N = 2^17 and r = 8 (same source). */
const enoughScrypt = 2 ** 17 * 8;

/**
 * PKCS #8 PEM of a private key, encrypted with the passphrase: PBES2 (RFC 8018) of PBKDF2-HMAC-SHA256 and AES-256-CBC. OpenSSL and
 * others read it; Node's own export stops at 2,048 rounds.
 */
export async function encryptedPem(privateKey: KeyObject, passphrase: string): Promise<string> {
  const [salt, iv] = [randomBytes(16), randomBytes(16)];
  const key = await promisify(pbkdf2)(passphrase, salt, rounds, 32, 'sha256');
  const cipher = createCipheriv('aes-256-cbc', key, iv);
  const plain = privateKey.export({ type: 'pkcs8', format: 'der' });
  const encrypted = Buffer.concat([cipher.update(plain), cipher.final()]);
  plain.fill(0);
  const { sequence, octets, integer, identifier, nothing } = der;
  const hash = sequence(identifier(identifiers.hmacSha256), nothing());
  const derivation = sequence(
    identifier(identifiers.pbkdf2),
    sequence(octets(salt), integer(rounds), hash),
  );
  const encryption = sequence(identifier(identifiers.aes256Cbc), octets(iv));
  const scheme = sequence(identifier(identifiers.pbes2), sequence(derivation, encryption));
  const body = sequence(scheme, octets(encrypted)).toString('base64');
  const lines = body.match(/.{1,64}/g) ?? [];
  return `-----BEGIN ${encryptedLabel}-----\n${lines.join('\n')}\n-----END ${encryptedLabel}-----\n`;
}

const encryptedLabel = 'ENCRYPTED PRIVATE KEY';

/** How a private key file is protected: not at all, or by a passphrase, and then what is too little about it. */
export type Protection =
  | { readonly encrypted: false }
  | { readonly encrypted: true; readonly weakness: string | null };

export function protectionOf(pem: string): Protection {
  const body = new RegExp(`BEGIN ${encryptedLabel}-----([A-Za-z0-9+/=\\s]*)-----END`).exec(
    pem,
  )?.[1];
  if (body === undefined)
    return /Proc-Type: 4,ENCRYPTED/.test(pem)
      ? { encrypted: true, weakness: old }
      : { encrypted: false };
  try {
    return { encrypted: true, weakness: weaknessOf(Buffer.from(body, 'base64')) };
  } catch {
    return { encrypted: true, weakness: old };
  }
}

const old = 'a guess at its passphrase costs next to nothing';

function weaknessOf(bytes: Buffer): string | null {
  const scheme = inside(inside(readDer(bytes)[0])[0]);
  if (hex(scheme[0]) !== identifiers.pbes2) return old;
  const [method, parameters] = inside(inside(scheme[1])[0]);
  const found = inside(parameters);
  if (hex(method) === identifiers.scrypt) {
    const [n = 0, r = 0] = found.filter(isInteger).map(integerOf);
    return n * r >= enoughScrypt
      ? null
      : `its passphrase is stretched by scrypt with N = ${n} and r = ${r}; N = 131072 and r = 8 is recommended today`;
  }
  if (hex(method) !== identifiers.pbkdf2) return old;
  const [count = 0] = found.filter(isInteger).map(integerOf);
  const named = found.at(-1);
  const hash = named && named.tag === 0x30 ? hex(inside(named)[0]) : identifiers.hmacSha1;
  const enough = enoughRounds[hash] ?? rounds;
  return count >= enough
    ? null
    : `its passphrase is stretched by ${count} rounds of PBKDF2; ${enough} are recommended today`;
}

function inside(value: DerValue | undefined): DerValue[] {
  return value ? readDer(value.content) : [];
}

function hex(value: DerValue | undefined): string {
  return value?.content.toString('hex') ?? '';
}
