import type { Context, MiddlewareHandler } from 'hono';
import { deleteCookie, getCookie, setCookie } from 'hono/cookie';
import { type Access, sessionTime } from '../../lab/access/access.ts';
import { Refusal } from '../../lab/refusal.ts';
import { signInForm } from '../../report/pages/lab/sign-in-form.ts';
import { sendSheet } from '../view/send.ts';
import type { Served } from './who.ts';

/** Cookies do not know ports: two labs of one machine must not put out each other's session. */
function cookieOf(c: Context<Served>): string {
  return `evenfall-lab-${c.env?.incoming?.socket.localPort ?? 0}`;
}

/** Lets people in by the session of their browser, and asks everybody else to sign in. */
export function session(access: Access): MiddlewareHandler<Served> {
  return async (c, next) => {
    const cookie = getCookie(c, cookieOf(c));
    const holder = cookie === undefined ? null : await access.holderOfSession(cookie);
    if (!holder) return c.redirect('/sign-in', 303);
    c.set('holder', holder);
    return next();
  };
}

export function showSignIn(c: Context<Served>): Response {
  return sendForm(c, null);
}

/** Exchanges a token for a session; a rig's token opens none. */
export function takeSignIn(access: Access) {
  return async (c: Context<Served>): Promise<Response> => {
    const { token } = await c.req.parseBody();
    try {
      const text = typeof token === 'string' ? token.trim() : '';
      const { kind } = await access.holderOf(text);
      if (kind === 'rig')
        throw new Refusal('forbidden', 'expected the token of a person, found that of a rig');
      // Behind a proxy with TLS the browser keeps the cookie to it.
      const secure = c.req.header('x-forwarded-proto') === 'https';
      const options = { httpOnly: true, sameSite: 'Strict', path: '/', secure } as const;
      setCookie(c, cookieOf(c), await access.openSession(text), {
        ...options,
        maxAge: sessionTime,
      });
      return c.redirect('/lab', 303);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      return sendForm(c, error.message);
    }
  };
}

export function takeSignOut(access: Access) {
  return async (c: Context<Served>): Promise<Response> => {
    const cookie = getCookie(c, cookieOf(c));
    if (cookie !== undefined) await access.closeSession(cookie);
    deleteCookie(c, cookieOf(c), { path: '/' });
    return c.redirect('/sign-in', 303);
  };
}

function sendForm(c: Context<Served>, refused: string | null): Response {
  const sheet = { title: 'Sign in to the lab', closed: true, body: signInForm(refused) };
  return sendSheet(c, sheet, refused === null ? 200 : 403);
}
