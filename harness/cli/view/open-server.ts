import { bracketed, listen } from '../common/listen.ts';
import { viewApp } from './app.ts';
import type { Desk } from './desk.ts';
import { newSecret } from './guard.ts';

export interface OpenServer {
  /** With the token in it. */
  readonly address: string;
  /** Ends every connection, progress streams too. Idempotent. */
  close(): Promise<void>;
}

/** Listens until closed. Throws Complaint where the address is not available. */
export async function openServer(
  desk: Desk,
  { host, port }: { readonly host: string; readonly port: number },
): Promise<OpenServer> {
  const token = newSecret();
  const app = viewApp(desk, { token, host: bracketed(host), loopback: desk.loopback });
  const { origin, close } = await listen(app.fetch, { host, port });
  return { address: `${origin}/?token=${token}`, close };
}
