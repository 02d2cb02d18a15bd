import { randomBytes } from 'node:crypto';
import { connect, type Socket } from 'node:net';

/** An event of the inspector's protocol. */
export interface DebuggerEvent {
  readonly method: string;
  // biome needs no more: the protocol's own documentation has the fields.
  readonly params: Record<string, unknown>;
}

/**
 * A debugger: the inspector's protocol over a WebSocket, as editors and browsers speak it.
 * Source: RFC 6455, sections 4.1 (handshake), 5.2 (frames) and 5.3 (masking), from memory.
 */
export class DebuggerClient {
  readonly events: DebuggerEvent[] = [];
  readonly #socket: Socket;
  readonly #answers = new Map<number, (result: Record<string, unknown>) => void>();
  readonly #waiting = new Set<() => void>();
  #bytes = Buffer.alloc(0);
  #open = false;
  #text = '';
  #calls = 0;

  private constructor(url: URL) {
    this.#socket = connect(Number(url.port), url.hostname, () => {
      const key = randomBytes(16).toString('base64');
      const head = [
        `GET ${url.pathname} HTTP/1.1`,
        ...[`Host: ${url.host}`, 'Upgrade: websocket', 'Connection: Upgrade'],
        ...[`Sec-WebSocket-Key: ${key}`, 'Sec-WebSocket-Version: 13', '', ''],
      ];
      this.#socket.write(head.join('\r\n'));
    });
    this.#socket.on('data', (data) => this.#take(data)).on('error', () => {});
  }

  static async attach(url: string): Promise<DebuggerClient> {
    const client = new DebuggerClient(new URL(url));
    await client.#until(() => client.#open);
    return client;
  }

  async call(method: string, params: object = {}): Promise<Record<string, unknown>> {
    const id = ++this.#calls;
    const answer = new Promise<Record<string, unknown>>((resolve) =>
      this.#answers.set(id, resolve),
    );
    this.#send(JSON.stringify({ id, method, params }));
    return answer;
  }

  /** The first event of this method from the `from`-th on. */
  async event(method: string, from = 0): Promise<DebuggerEvent> {
    const find = () => this.events.slice(from).find((event) => event.method === method);
    await this.#until(() => find() !== undefined);
    return find() as DebuggerEvent;
  }

  close(): void {
    this.#socket.destroy();
  }

  async #until(isSo: () => boolean): Promise<void> {
    while (!isSo()) await new Promise<void>((resolve) => this.#waiting.add(resolve));
  }

  #send(text: string): void {
    const payload = Buffer.from(text);
    const mask = randomBytes(4);
    const length =
      payload.length < 126
        ? Buffer.of(0x80 | payload.length)
        : Buffer.of(0x80 | 126, payload.length >> 8, payload.length & 0xff);
    const masked = payload.map((byte, k) => byte ^ (mask[k % 4] ?? 0));
    this.#socket.write(Buffer.concat([Buffer.of(0x81), length, mask, masked]));
  }

  #take(data: Buffer): void {
    this.#bytes = Buffer.concat([this.#bytes, data]);
    if (!this.#open) {
      const end = this.#bytes.indexOf('\r\n\r\n');
      if (end < 0) return;
      this.#open = true;
      this.#bytes = this.#bytes.subarray(end + 4);
    }
    while (this.#frame());
    for (const wake of this.#waiting) wake();
    this.#waiting.clear();
  }

  /** Takes a whole frame from what has come; false where there is none. */
  #frame(): boolean {
    const bytes = this.#bytes;
    if (bytes.length < 2) return false;
    const short = (bytes[1] ?? 0) & 0x7f;
    const head = short === 126 ? 4 : short === 127 ? 10 : 2;
    if (bytes.length < head) return false;
    const length =
      short === 126
        ? bytes.readUInt16BE(2)
        : short === 127
          ? Number(bytes.readBigUInt64BE(2))
          : short;
    if (bytes.length < head + length) return false;
    this.#bytes = bytes.subarray(head + length);
    this.#text += bytes.toString('utf8', head, head + length);
    if ((bytes[0] ?? 0) & 0x80) this.#message();
    return true;
  }

  #message(): void {
    const text = this.#text;
    this.#text = '';
    const message = JSON.parse(text) as DebuggerEvent & { id?: number; result?: object };
    if (message.id === undefined) this.events.push(message);
    else this.#answers.get(message.id)?.({ ...message.result });
  }
}
