import { createHmac } from 'node:crypto';
import type { News } from './news.ts';
import { newsBody } from './news-text.ts';
import type { WebhookTarget } from './target.ts';
import { answered, Undelivered } from './undelivered.ts';

/** Of an answer only its beginning is read, bytes. */
const mostRead = 1000;

/** What a delivery is signed with, and when. */
export interface WebhookUse {
  readonly secret: string;
  /** ISO 8601 UTC. */
  readonly sentAt: string;
}

/**
 * Posts the news as JSON. `Evenfall-Sent` says when, `Evenfall-Signature` is the HMAC-SHA-256 over that instant, a line end and the body, hex:
 * who knows the secret can tell that the news is ours and not an old one sent again. Redirects are not followed: they would
 * carry the news to whom nobody named.
 * Throws Undelivered with what came back; it may be tried again after no answer or a status from 500 on.
 * Source: RFC 2104 (HMAC), FIPS 180-4 (SHA-256).
 */
export async function toWebhook(
  news: News,
  { url, within }: WebhookTarget,
  { secret, sentAt }: WebhookUse,
): Promise<void> {
  const body = newsBody(news);
  const signature = createHmac('sha256', secret).update(`${sentAt}\n${body}`).digest('hex');
  const late = AbortSignal.timeout(1000 * within);
  let response: Response;
  let text: string;
  try {
    response = await fetch(url, {
      method: 'POST',
      headers: {
        'content-type': 'application/json',
        'user-agent': 'evenfall',
        'evenfall-sent': sentAt,
        'evenfall-signature': signature,
      },
      body,
      redirect: 'manual',
      signal: late,
    });
    text = await beginningOf(response);
  } catch (error) {
    const why = late.aborted ? `within ${within} s` : `(${causeOf(error)})`;
    throw new Undelivered(`no answer from ${hostOf(url)} ${why}`, true, { cause: error });
  }
  const { status, headers } = response;
  if (status >= 200 && status < 300) return;
  const to = headers.get('location');
  const what = to === null ? answered(text) : `, a redirect, which is not followed${answered(to)}`;
  throw new Undelivered(`${hostOf(url)} answered ${status}${what}`, status >= 500);
}

/** The path of an address may be a secret of its own. */
function hostOf(url: string): string {
  return new URL(url).host;
}

async function beginningOf(response: Response): Promise<string> {
  const parts: Uint8Array[] = [];
  let length = 0;
  const reader = response.body?.getReader();
  while (reader && length < mostRead) {
    const { done, value } = await reader.read();
    if (done) break;
    parts.push(value);
    length += value.length;
  }
  await reader?.cancel().catch(() => {});
  return Buffer.concat(parts).subarray(0, mostRead).toString('utf8');
}

/** `fetch` hides why in a cause. */
function causeOf(error: unknown): string {
  const { cause, message } = error as Error;
  const { code, message: text } = (cause ?? {}) as NodeJS.ErrnoException;
  return code ?? text ?? message;
}
