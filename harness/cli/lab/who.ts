import type { HttpBindings } from '@hono/node-server';
import type { Context, MiddlewareHandler } from 'hono';
import type { Holder } from '../../lab/access/access.ts';
import type { Lab } from '../../lab/lab.ts';
import { Refusal } from '../../lab/refusal.ts';

/** Who asks, once the token or the session has been looked at. */
export type Served = { Bindings: HttpBindings; Variables: { holder: Holder; lab: boolean } };

/** Lets in who brings a token of the lab: `Authorization: Bearer …`. */
export function bearer({ access }: Lab): MiddlewareHandler<Served> {
  return async (c, next) => {
    const [, token] = /^Bearer ([\w.~+/-]+=*)$/i.exec(c.req.header('authorization') ?? '') ?? [];
    if (token === undefined)
      throw new Refusal('no-token', 'expected a token in the header Authorization, found none');
    c.set('holder', await access.holderOf(token));
    await next();
  };
}

/** The rig that asks. Rejects where it is a person, or another rig than the one that is asked for. */
export function rigOf(c: Context<Served>, name?: string): string {
  const holder = c.get('holder');
  if (!holder.roles.includes('run'))
    throw new Refusal('forbidden', `this takes the token of a rig; ${holder.name} is none`);
  if (name !== undefined && name !== holder.name)
    throw new Refusal('forbidden', `this is for the rig ${name} alone; you are ${holder.name}`);
  return holder.name;
}
