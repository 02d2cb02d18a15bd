import type { Context } from 'hono';
import * as z from 'zod';
import { Refusal } from '../../lab/refusal.ts';
import type { Served } from './who.ts';

/** The JSON that was sent, checked. Rejects with a Refusal that says what is wrong with it. */
export async function readBody<Schema extends z.ZodType>(
  c: Context<Served>,
  schema: Schema,
): Promise<z.infer<Schema>> {
  let sent: unknown;
  try {
    sent = await c.req.json();
  } catch (error) {
    throw new Refusal('invalid', 'expected JSON, found something else', { cause: error });
  }
  const read = schema.safeParse(sent);
  if (read.success) return read.data;
  throw new Refusal('invalid', `what was sent cannot be used: ${z.prettifyError(read.error)}`);
}
