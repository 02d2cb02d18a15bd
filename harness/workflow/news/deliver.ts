import type { News } from './news.ts';
import { type Environment, readSecret } from './secret.ts';
import type { Target } from './target.ts';
import { toMail } from './to-mail.ts';
import { toProgram } from './to-program.ts';
import { toWebhook } from './to-webhook.ts';

/** What a delivery needs beside its target. */
export interface DeliveryUse {
  /** Programs run in it, and files of secrets are looked for from it. */
  readonly folder: string;
  readonly env: Environment;
  /** Wall clock, ISO 8601 UTC. */
  now(): string;
}

/** Sends one message to one target, once. Throws Undelivered, which says whether it may be tried again, or a Complaint where its secret is gone. */
export async function deliver(
  news: News,
  { target, program, webhook, mail }: Target,
  { folder, env, now }: DeliveryUse,
): Promise<void> {
  if (program) await toProgram(news, program, folder);
  if (webhook) {
    const secret = readSecret(webhook.secret, { target, folder, env });
    await toWebhook(news, webhook, { secret, sentAt: now() });
  }
  if (mail) await toMail(news, mail);
}

/** Whether a target is to hear of it. */
export function isFor({ verdict, lamp, tags }: News, target: Target): boolean {
  const { on, lamps, tags: wanted } = target;
  const isWanted = on.some((word) => word === 'ended' || word === verdict);
  const isOfLamp = lamps?.includes(lamp) ?? true;
  return isWanted && isOfLamp && (wanted?.some((tag) => tags.includes(tag)) ?? true);
}
