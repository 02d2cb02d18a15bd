import { createHash, randomBytes } from 'node:crypto';
import type { Database } from '../database/database.ts';
import { Refusal } from '../refusal.ts';

/** What somebody may do. A rig may only `run`. */
export const personRoles = ['submit', 'sign', 'administer'] as const;
export type Role = (typeof personRoles)[number] | 'run';

/** A person or a rig that the lab knows by a token. */
export interface Holder {
  readonly name: string;
  readonly kind: 'person' | 'rig';
  readonly roles: readonly Role[];
}

export interface ListedHolder extends Holder {
  readonly createdAt: string;
  readonly isRevoked: boolean;
}

/** Who starts a lab has this name until there are others. */
const firstHolder = 'administrator';
/** s that a browser stays signed in. */
export const sessionTime = 12 * 3600;

/** Tokens and sessions of a lab: 256 random bits each, of which only SHA-256 digests are stored. */
export class Access {
  readonly #database: Database;

  constructor(database: Database) {
    this.#database = database;
  }

  /** The administrator's token where nobody has any yet; else null. */
  async firstToken(): Promise<string | null> {
    const token = newToken();
    const made = await this.#database.query(
      `insert into lab.holder (name, kind, roles, token_hash)
       select $1, 'person', $2::jsonb, $3 where not exists (select 1 from lab.holder)
       on conflict do nothing returning name`,
      [firstHolder, JSON.stringify(personRoles), digest(token)],
    );
    return made.length > 0 ? token : null;
  }

  /** Rejects with a Refusal where nobody has this token, or no longer. */
  async holderOf(token: string): Promise<Holder> {
    const [found] = await this.#database.query<HolderRow>(
      `select name, kind, roles from lab.holder where token_hash = $1 and revoked_at is null`,
      [digest(token)],
    );
    if (found) return asHolder(found);
    throw new Refusal(
      'no-token',
      'expected a token of this lab, found none that it knows; an administrator of the lab gives them out',
    );
  }

  /** Rejects with a Refusal where the token of this name was taken away, or has not the role. */
  async mustStillBe(name: string, role: Role): Promise<void> {
    const [found] = await this.#database.query<HolderRow>(
      `select name, kind, roles from lab.holder where name = $1 and revoked_at is null`,
      [name],
    );
    if (!found) throw new Refusal('forbidden', `the token of ${name} was taken away`);
    mustHave(asHolder(found), role);
  }

  /** Gives a new name a token, which nobody can read again. */
  async add(holder: Holder, by: string): Promise<string> {
    const token = newToken();
    const made = await this.#database.query(
      `insert into lab.holder (name, kind, roles, token_hash, created_by)
       values ($1, $2, $3::jsonb, $4, $5) on conflict do nothing returning name`,
      [holder.name, holder.kind, JSON.stringify(holder.roles), digest(token), by],
    );
    if (made.length > 0) return token;
    throw new Refusal('conflict', `there is a token for ${holder.name} already; replace it`);
  }

  /** A new token for a name, also for one that was revoked; the old one is worth nothing from now on. */
  async replace(name: string): Promise<string> {
    const token = newToken();
    const made = await this.#database.query(
      `update lab.holder set token_hash = $2, revoked_at = null where name = $1 returning name`,
      [name, digest(token)],
    );
    if (made.length === 0) throw unknownName(name);
    await this.#endSessions(name);
    return token;
  }

  async revoke(name: string): Promise<void> {
    const made = await this.#database.query(
      `update lab.holder set revoked_at = now() where name = $1 returning name`,
      [name],
    );
    if (made.length === 0) throw unknownName(name);
    await this.#endSessions(name);
  }

  async list(): Promise<readonly ListedHolder[]> {
    const rows = await this.#database.query<HolderRow & { created_at: Date; revoked: boolean }>(
      `select name, kind, roles, created_at, revoked_at is not null as revoked from lab.holder order by name`,
    );
    return rows.map((row) => ({
      ...asHolder(row),
      createdAt: row.created_at.toISOString(),
      isRevoked: row.revoked,
    }));
  }

  /** Signs a browser in; its cookie is what comes back. */
  async openSession(token: string): Promise<string> {
    const { name } = await this.holderOf(token);
    const session = randomBytes(32).toString('base64url');
    await this.#database.query(
      `insert into lab.session (hash, holder, expires_at) values ($1, $2, now() + $3 * interval '1 second')`,
      [digest(session), name, sessionTime],
    );
    await this.#database.query(`delete from lab.session where expires_at < now()`);
    return session;
  }

  /** Null where the session is unknown or over. */
  async holderOfSession(session: string): Promise<Holder | null> {
    const [found] = await this.#database.query<HolderRow>(
      `select name, kind, roles from lab.session join lab.holder on holder = name
       where hash = $1 and expires_at > now() and revoked_at is null`,
      [digest(session)],
    );
    return found ? asHolder(found) : null;
  }

  async closeSession(session: string): Promise<void> {
    await this.#database.query(`delete from lab.session where hash = $1`, [digest(session)]);
  }

  async #endSessions(name: string): Promise<void> {
    await this.#database.query(`delete from lab.session where holder = $1`, [name]);
  }
}

/** Rejects where the holder has none of these roles. */
export function mustHave(holder: Holder, ...roles: readonly Role[]): void {
  if (roles.some((role) => holder.roles.includes(role))) return;
  const has = holder.roles.length > 0 ? holder.roles.join(', ') : 'none';
  throw new Refusal(
    'forbidden',
    `this takes the role ${roles.join(' or ')}; ${holder.name} has ${has}`,
  );
}

interface HolderRow extends Readonly<Record<string, unknown>> {
  readonly name: string;
  readonly kind: Holder['kind'];
  readonly roles: readonly Role[];
}

function asHolder({ name, kind, roles }: HolderRow): Holder {
  return { name, kind, roles };
}

function unknownName(name: string): Refusal {
  return new Refusal('not-found', `there is no token for ${name}`);
}

/** A name that secret scanners can be taught. */
function newToken(): string {
  return `evenfall_${randomBytes(32).toString('base64url')}`;
}

function digest(secret: string): string {
  return createHash('sha256').update(secret).digest('hex');
}
