import type { Server } from 'node:http';
import { type AddressInfo, isIP } from 'node:net';
import { serve } from '@hono/node-server';
import { Complaint } from '../../workflow/complaint.ts';

/** Pages that follow a run hold a connection each; a browser opens six for the rest. */
const mostConnections = 1024;
/** For those who send slowly or without end; ms, and bytes of headers. Bodies are bounded by the app. */
const limits = {
  headersTimeout: 5000,
  requestTimeout: 30_000,
  keepAliveTimeout: 5000,
  connectionsCheckingInterval: 1000,
  maxHeaderSize: 16 * 1024,
} as const;

export interface Listening {
  /** `http://host:port`. */
  readonly origin: string;
  /** Ends every connection, progress streams too. Idempotent. */
  close(): Promise<void>;
}

/** Serves an app until closed. Throws Complaint where the address is not available. */
export async function listen(
  fetch: Parameters<typeof serve>[0]['fetch'],
  { host, port }: { readonly host: string; readonly port: number },
): Promise<Listening> {
  const server = serve({ fetch, hostname: host, port, serverOptions: limits }) as Server;
  server.maxConnections = mostConnections;
  await listening(server, host, port);
  const { port: taken } = server.address() as AddressInfo;
  return {
    origin: `http://${bracketed(host)}:${taken}`,
    close: () =>
      new Promise((done) => {
        server.close(() => done());
        server.closeAllConnections();
      }),
  };
}

function listening(server: Server, host: string, port: number): Promise<void> {
  return new Promise((done, refuse) => {
    server.once('listening', () => done());
    server.once('error', (error: NodeJS.ErrnoException) => {
      const why =
        error.code === 'EADDRINUSE' ? 'another program is listening there' : error.message;
      const sentence = `cannot listen on ${host}, port ${port}: ${why}; choose another with --port, or 0 for a free one`;
      refuse(new Complaint('cannot-create', sentence, { cause: error }));
    });
  });
}

/** An IPv6 address stands in brackets before its port. */
export function bracketed(host: string): string {
  return host.includes(':') ? `[${host}]` : host;
}

/** Only this computer can reach the address. */
export function isLoopback(host: string): boolean {
  if (isIP(host) === 4) return host.startsWith('127.');
  return host === '::1' || host === 'localhost';
}
