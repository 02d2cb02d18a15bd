import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';
import { isIP } from 'node:net';
import type { HttpBindings } from '@hono/node-server';
import type { Context, MiddlewareHandler } from 'hono';
import { getCookie, setCookie } from 'hono/cookie';
import { HTTPException } from 'hono/http-exception';

export type Served = { Bindings: HttpBindings };

/** A name that nobody guesses: 256 random bits. */
export function newSecret(): string {
  return randomBytes(32).toString('base64url');
}

/** Names that a browser may call the server by, besides its addresses as figures. */
export interface Door {
  /** In the printed address; exchanged for the cookie. */
  readonly token: string;
  /** `--host` as given. */
  readonly host: string;
  readonly loopback: boolean;
}

const noToken =
  'Open this page with the address that evenfall view printed when it started: it contains a token. Copy the whole address from that terminal.';
const noHost =
  'This server answers only to its own address. Copy the address from the terminal that runs evenfall view.';

/** Lets in whoever brings the token, once, and then their browser by its cookie; turns everybody else away. */
export function guard(door: Door): MiddlewareHandler<Served> {
  const session = newSecret();
  return async (c, next) => {
    const port = c.env.incoming.socket.localPort;
    if (!isOwnHost(c.req.header('host') ?? '', port, door)) {
      throw new HTTPException(403, { message: noHost });
    }
    // Cookies do not know ports: two servers must not put out each other's session.
    const cookie = `evenfall-view-${port}`;
    const token = c.req.query('token');
    if (token !== undefined) {
      if (!same(token, door.token)) throw new HTTPException(403, { message: noToken });
      setCookie(c, cookie, session, { httpOnly: true, sameSite: 'Strict', path: '/' });
      return c.redirect(withoutToken(c), 303);
    }
    if (!same(getCookie(c, cookie) ?? '', session)) {
      throw new HTTPException(403, { message: noToken });
    }
    return next();
  };
}

/** In constant time, whatever the lengths: digests are of one length. */
function same(given: string, expected: string): boolean {
  const digest = (text: string) => createHash('sha256').update(text).digest();
  return timingSafeEqual(digest(given), digest(expected));
}

/**
 * A foreign name that was made to point here (DNS rebinding) would let a foreign page read along. Figures cannot be
 * made to point anywhere, so beyond this computer every address in figures is taken, and the name that was given.
 */
function isOwnHost(header: string, port: number | undefined, { host, loopback }: Door): boolean {
  const [, own, given = '80'] = /^(\[[0-9a-f:.]+\]|[a-z0-9.-]+)(?::(\d+))?$/i.exec(header) ?? [];
  if (own === undefined || Number(given) !== port) return false;
  const name = own.toLowerCase();
  if (name === 'localhost' || name === '127.0.0.1' || name === '[::1]') return true;
  if (loopback) return name === host.toLowerCase();
  return name === host.toLowerCase() || isIP(name.replace(/^\[|\]$/g, '')) !== 0;
}

/** The token goes out of the address at once, and so out of history, bookmarks and what is read aloud. */
function withoutToken(c: Context): string {
  const url = new URL(c.req.url);
  url.searchParams.delete('token');
  // A path of two slashes would be another server's name.
  return `${url.pathname.replace(/^\/{2,}/, '/')}${url.search}`;
}
