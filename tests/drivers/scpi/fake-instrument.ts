import { createServer, type Server, type Socket } from 'node:net';

export type Answer = string | Buffer | null | ((socket: Socket) => void);

/** An instrument on a real socket of the loopback interface: answers lines, remembers them. */
export class FakeInstrument {
  readonly heard: string[] = [];
  readonly sockets = new Set<Socket>();
  #server: Server;
  answer: (line: string) => Answer;
  connections = 0;

  private constructor(server: Server, answer: (line: string) => Answer) {
    this.#server = server;
    this.answer = answer;
  }

  static async start(answer: (line: string) => Answer): Promise<FakeInstrument> {
    const server = createServer();
    const fake = new FakeInstrument(server, answer);
    server.on('connection', (socket) => fake.#take(socket));
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
    return fake;
  }

  get port(): number {
    const address = this.#server.address();
    return typeof address === 'object' && address ? address.port : 0;
  }

  get address(): string {
    return `tcp://127.0.0.1:${this.port}`;
  }

  async stop(): Promise<void> {
    for (const socket of this.sockets) socket.destroy();
    await new Promise((resolve) => this.#server.close(resolve));
  }

  #take(socket: Socket): void {
    this.connections++;
    socket.setNoDelay(true);
    this.sockets.add(socket);
    socket.on('close', () => this.sockets.delete(socket));
    socket.on('error', () => {});
    let text = '';
    socket.on('data', (bytes) => {
      text += bytes.toString('latin1');
      for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n')) {
        const line = text.slice(0, at);
        text = text.slice(at + 1);
        this.heard.push(line);
        const answer = this.answer(line);
        if (typeof answer === 'function') answer(socket);
        else if (answer !== null) socket.write(typeof answer === 'string' ? `${answer}\n` : answer);
      }
    });
  }
}
