import type { Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { serve } from '@hono/node-server';
import { Complaint } from '../../workflow/complaint.ts';
import { viewApp } from './app.ts';
import type { Desk } from './desk.ts';
import { newSecret } from './guard.ts';

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
  const options = { fetch: app.fetch, hostname: host, port, serverOptions: limits };
  const server = serve(options) as Server;
  server.maxConnections = mostConnections;
  await listening(server, host, port);
  const { port: taken } = server.address() as AddressInfo;
  return {
    address: `http://${bracketed(host)}:${taken}/?token=${token}`,
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
function bracketed(host: string): string {
  return host.includes(':') ? `[${host}]` : host;
}
