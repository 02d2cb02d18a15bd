import { closeSync, constants, openSync, writeSync } from 'node:fs';
import { createRequire } from 'node:module';
import { ReadStream } from 'node:tty';

/** Size of struct termios of the C library on Linux, with room to spare. */
const termiosSize = 256;
const pathLength = 128;
const now = 0;

/** The C library's calls for pseudo-terminals (POSIX.1-2017, XSH posix_openpt); Node has none. */
function libc() {
  const library = loadKoffi().load('libc.so.6');
  return {
    openMaster: library.func('int posix_openpt(int flags)'),
    grant: library.func('int grantpt(int fd)'),
    unlock: library.func('int unlockpt(int fd)'),
    path: library.func('int ptsname_r(int fd, _Out_ uint8_t *path, size_t size)'),
    getAttributes: library.func('int tcgetattr(int fd, _Out_ uint8_t *termios)'),
    makeRaw: library.func('void cfmakeraw(_Inout_ uint8_t *termios)'),
    setAttributes: library.func('int tcsetattr(int fd, int when, const uint8_t *termios)'),
  };
}

function loadKoffi(): typeof import('koffi') {
  try {
    return createRequire(import.meta.url)('koffi');
  } catch (error) {
    const machine = `${process.platform}-${process.arch}, Node ${process.version}`;
    const why = (error as Error).message.split('\n')[0];
    const text = `no pseudo-terminal: the code that asks the system for one does not load on this computer (${machine}): ${why}; run npm ci again`;
    throw new Error(text, { cause: error });
  }
}

/** A serial port without wires: programs open `path`, this end is the device. Linux only. */
export class PseudoTerminal {
  readonly path: string;
  readonly #master: number;
  /** Held open, so that the last client's leaving is no hang-up. */
  readonly #held: number;
  readonly #stream: ReadStream;
  #open = true;

  constructor(receive: (bytes: Buffer) => void) {
    const c = libc();
    this.#master = c.openMaster(constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
    const path = Buffer.alloc(pathLength);
    const opened =
      this.#master >= 0 &&
      c.grant(this.#master) === 0 &&
      c.unlock(this.#master) === 0 &&
      c.path(this.#master, path, pathLength) === 0;
    if (!opened) throw new Error('the system gave no pseudo-terminal (posix_openpt)');
    this.path = path.toString('latin1', 0, path.indexOf(0));
    this.#held = openSync(this.path, constants.O_RDWR | constants.O_NOCTTY);
    const attributes = Buffer.alloc(termiosSize);
    c.getAttributes(this.#held, attributes);
    c.makeRaw(attributes);
    c.setAttributes(this.#held, now, attributes);
    this.#stream = new ReadStream(this.#master);
    this.#stream.on('data', receive).on('error', () => {});
  }

  get destroyed(): boolean {
    return !this.#open;
  }

  /** Bytes that nobody reads are lost once the line is full, as on a wire. */
  write(bytes: Uint8Array): boolean {
    try {
      writeSync(this.#master, bytes);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EAGAIN') throw error;
    }
    return true;
  }

  /** Pulls the plug: every client's end hangs up. */
  close(): void {
    if (!this.#open) return;
    this.#open = false;
    closeSync(this.#held);
    this.#stream.destroy();
  }
}
