import type { News } from './news.ts';
import { newsSubject, newsText } from './news-text.ts';
import type { MailTarget } from './target.ts';
import { answered, Undelivered } from './undelivered.ts';

/**
 * Hands the news as plain text to a mail relay, which is to take it without a password: the one on this computer, or one of the house.
 * Nothing of the mail is fetched from anywhere, and it says that no person wrote it (RFC 3834).
 * Throws Undelivered with what the relay said; it may be tried again after no answer or a reply 4xx (RFC 5321 4.2.1: transient).
 */
export async function toMail(
  news: News,
  { from, to, host, port, within }: MailTarget,
): Promise<void> {
  // Of a hundred runs one sends a mail: the others need not load it.
  const { createTransport } = await import('nodemailer');
  const time = 1000 * within;
  const transport = createTransport({
    host,
    port,
    secure: false,
    // A relay on this computer has a certificate of its own making, if any.
    ignoreTLS: isThisComputer(host),
    connectionTimeout: time,
    greetingTimeout: time,
    socketTimeout: time,
    disableFileAccess: true,
    disableUrlAccess: true,
  });
  const late = new Promise<never>((_, reject) => {
    AbortSignal.timeout(time).addEventListener('abort', () => {
      reject(new Undelivered(`no answer from the relay ${host}:${port} within ${within} s`, true));
    });
  });
  try {
    const sending = transport.sendMail({
      from,
      to: [...to],
      subject: newsSubject(news),
      text: newsText(news),
      headers: { 'Auto-Submitted': 'auto-generated' },
    });
    const { rejected } = await Promise.race([sending, late]);
    if (rejected.length > 0)
      throw new Undelivered(`the relay ${host}:${port} did not take ${rejected.join(', ')}`, false);
  } catch (error) {
    if (error instanceof Undelivered) throw error;
    throw refused(error as SmtpError, `${host}:${port}`);
  } finally {
    transport.close();
  }
}

interface SmtpError extends Error {
  /** Of the relay's reply; absent where there was none. */
  readonly responseCode?: number;
  readonly response?: string;
}

function refused(error: SmtpError, relay: string): Undelivered {
  const { responseCode, response, message } = error;
  if (responseCode === undefined)
    return new Undelivered(`no answer from the relay ${relay}${answered(message)}`, true, {
      cause: error,
    });
  const text = `the relay ${relay} answered ${responseCode}${answered(response ?? message)}`;
  return new Undelivered(text, responseCode < 500, { cause: error });
}

function isThisComputer(host: string): boolean {
  return /^(localhost|127(\.\d+){3}|::1)$/.test(host);
}
