import { connect } from 'node:net';

/** A conversation of our own with a SCPI socket: as plain as can be, so that it shares nothing with the driver. */
export interface Conversation {
  tell(line: string): void;
  ask(line: string): Promise<string>;
  askBlock(line: string): Promise<Buffer>;
  end(): void;
}

export async function converse(port: number): Promise<Conversation> {
  const socket = connect({ host: '127.0.0.1', port, noDelay: true });
  await new Promise((resolve, reject) => socket.once('connect', resolve).once('error', reject));
  let received = Buffer.alloc(0);
  let wake = (): void => {};
  socket.on('data', (bytes) => {
    received = Buffer.concat([received, bytes]);
    wake();
  });
  const take = async (length: () => number): Promise<Buffer> => {
    for (;;) {
      const wanted = length();
      if (wanted >= 0 && received.length >= wanted) {
        const taken = received.subarray(0, wanted);
        received = received.subarray(wanted);
        return taken;
      }
      await new Promise<void>((resolve) => {
        wake = resolve;
      });
    }
  };
  const tell = (line: string): void => void socket.write(`${line}\n`);
  const line = () => take(() => received.indexOf(0x0a) + 1 || -1);
  return {
    tell,
    ask: async (text) => {
      tell(text);
      return (await line()).toString('latin1').trimEnd();
    },
    askBlock: async (text) => {
      tell(text);
      const head = await take(() => 2);
      const digits = Number(String.fromCharCode(head[1]!));
      const length = Number((await take(() => digits)).toString());
      const data = await take(() => length);
      await line();
      return data;
    },
    end: () => socket.destroy(),
  };
}
