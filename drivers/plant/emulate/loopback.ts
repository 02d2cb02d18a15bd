import type { Server } from 'node:net';

/** The only address that the emulated bench binds to: a simulated lamp is nobody else's. */
export const loopback = '127.0.0.1';

/** Listens on the loopback interface; resolves with the port (0 lets the system choose), rejects where it is taken. */
export function listenOnLoopback(server: Server, port: number): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen({ host: loopback, port }, () => {
      server.off('error', reject);
      const address = server.address();
      resolve(typeof address === 'object' && address ? address.port : port);
    });
  });
}
