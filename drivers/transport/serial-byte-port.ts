import type { SerialPort } from 'serialport';
import type { ByteListener, BytePort } from './byte-port.ts';

export interface SerialSetup {
  readonly path: string;
  readonly baud: number;
  readonly stopBits?: 1 | 2;
}

/** A serial line, with what only such a line has. */
export interface SerialLine extends BytePort {
  /** Resolves when the system has sent everything (a converter may still hold some bytes). */
  drain(): Promise<void>;
  /** Holds the line low, or lets it go. RTS and DTR are kept as they were opened. */
  setBreak(on: boolean): Promise<void>;
  setBaud(baud: number): Promise<void>;
}

/**
 * Opens a serial port, 8 data bits, no parity. Rejects when it does not exist or is taken; when the signal aborts, it
 * rejects as soon as the port is free again, so that the next one to open it does not find it locked.
 */
export async function openSerialLine(setup: SerialSetup, signal: AbortSignal): Promise<SerialLine> {
  const { path, baud, stopBits = 1 } = setup;
  const Port = await loadSerialPort(path);
  return new Promise((resolve, reject) => {
    // hupcl: dropping DTR on close would restart boards that wire it to their reset.
    const port = new Port({ path, baudRate: baud, stopBits, autoOpen: false, hupcl: false });
    port.open((error) => {
      if (error) reject(error);
      else if (signal.aborted) port.close(() => reject(new Error(`opening ${path} was cancelled`)));
      else resolve(new SerialBytePort(path, port));
    });
  });
}

async function loadSerialPort(path: string): Promise<typeof SerialPort> {
  try {
    return (await import('serialport')).SerialPort;
  } catch (error) {
    const machine = `${process.platform}-${process.arch}, Node ${process.version}`;
    const why = (error as Error).message.split('\n')[0];
    const text = `${path} cannot be opened: the code for serial ports does not load on this computer (${machine}): ${why}; run npm ci again, or connect over TCP`;
    throw new Error(text, { cause: error });
  }
}

/**
 * What a port that vanishes does is not uniform: with a `data` listener it closes with an error within milliseconds;
 * callbacks of writes and drains that are pending then never come. So a listener is there from the start, and whatever
 * is pending is rejected by hand.
 */
class SerialBytePort implements SerialLine {
  readonly address: string;
  readonly #port: SerialPort;
  readonly #pending = new Set<(error: Error) => void>();
  #listener: ByteListener | null = null;
  #early: Uint8Array[] = [];
  #gone: Error | null = null;
  #closed: Promise<void> | null = null;

  constructor(address: string, port: SerialPort) {
    this.address = address;
    this.#port = port;
    port.on('data', (bytes: Uint8Array) => {
      if (this.#listener) this.#listener.data(bytes);
      else this.#early.push(bytes);
    });
    port.on('close', (error: Error | null) => this.#end(error));
    port.on('error', (error) => this.#end(error));
  }

  listen(listener: ByteListener): void {
    this.#listener = listener;
    for (const bytes of this.#early.splice(0)) listener.data(bytes);
    const gone = this.#gone;
    if (gone) queueMicrotask(() => listener.gone(gone));
  }

  write(bytes: Uint8Array): Promise<void> {
    return this.#act((done) => void this.#port.write(Buffer.from(bytes), done));
  }

  drain(): Promise<void> {
    return this.#act((done) => this.#port.drain(done));
  }

  setBreak(on: boolean): Promise<void> {
    // `set` writes RTS and DTR too: both stay high, as they are after opening.
    return this.#act((done) => this.#port.set({ brk: on, rts: true, dtr: true }, done));
  }

  setBaud(baud: number): Promise<void> {
    return this.#act((done) => this.#port.update({ baudRate: baud }, done));
  }

  close(): Promise<void> {
    this.#closed ??= this.#release();
    return this.#closed;
  }

  #release(): Promise<void> {
    return new Promise((resolve) => {
      const after = (): void => {
        this.#end(null);
        resolve();
      };
      if (this.#port.isOpen && !this.#gone) this.#port.close(after);
      else after();
    });
  }

  #act(start: (done: (error?: Error | null) => void) => void): Promise<void> {
    if (this.#gone) return Promise.reject(this.#gone);
    return new Promise((resolve, reject) => {
      this.#pending.add(reject);
      start((error) => {
        this.#pending.delete(reject);
        if (error) reject(error);
        else resolve();
      });
    });
  }

  #end(error: Error | null): void {
    if (this.#gone) return;
    const why = new Error(
      `the port ${this.address} ${error ? `vanished (${error.message})` : 'was closed'}`,
      { cause: error },
    );
    this.#gone = why;
    for (const reject of this.#pending) reject(why);
    this.#pending.clear();
    this.#listener?.gone(why);
  }
}
