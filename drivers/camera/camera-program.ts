import { lstat, mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { BenchError, type BenchErrorKind } from '../../harness/bench/errors.ts';
import type { Call, Camera, Clock, Identity } from '../../harness/bench/ports.ts';
import { decodePngFrame, type PngFrameSetup } from '../../harness/files/png-frame.ts';
import type { CameraFrame } from '../../harness/measure/observation.ts';
import { Mutex } from '../transport/mutex.ts';
import { runProgram } from '../transport/run-program.ts';
import { withDeadline } from '../transport/with-deadline.ts';

/** As much as a program may write to its standard output. */
const mostBytes = 256 * 2 ** 20;

export interface CameraParts {
  readonly name: string;
  /** Program and arguments with `{exposure}` (s), `{frame-rate}` (Hz) and `{file}`. */
  readonly command: readonly string[];
  readonly folder: string;
  readonly lineTime: number;
  readonly picture: PngFrameSetup;
  readonly clock: Clock;
}

/** A rolling-shutter camera behind a program that takes one picture and writes it as PNG to `{file}`, or to stdout. */
export class CameraProgram implements Camera {
  readonly kind = 'camera';
  readonly driver = 'camera';
  readonly name: string;
  readonly #parts: CameraParts;
  readonly #mutex = new Mutex();
  readonly #closing = new AbortController();

  constructor(parts: CameraParts) {
    this.name = parts.name;
    this.#parts = parts;
  }

  /** The program's name: a camera that a program drives has no other voice. */
  async identify(call: Call): Promise<Identity> {
    const [program = ''] = this.#parts.command;
    return withDeadline(this.name, call, this.#closing.signal, async () => ({
      maker: '',
      model: program,
      serial: '',
      firmware: '',
      raw: this.#parts.command.join(' '),
    }));
  }

  shoot(
    { exposure, frameRate }: { readonly exposure: number; readonly frameRate: number },
    call: Call,
  ): Promise<CameraFrame> {
    return withDeadline(this.name, call, this.#closing.signal, (signal) =>
      this.#mutex.run(signal, async () => {
        const began = this.#parts.clock.now();
        const bytes = await this.#picture(exposure, frameRate, signal);
        const read = decodePngFrame(bytes, this.#parts.picture);
        if (!read.ok) throw this.#error('garbled', read.fault.message);
        const { rows, saturated } = read.value;
        return { at: began, rows, lineTime: this.#parts.lineTime, exposure, saturated };
      }),
    );
  }

  close(): Promise<void> {
    this.#closing.abort();
    return Promise.resolve();
  }

  async #picture(exposure: number, frameRate: number, signal: AbortSignal): Promise<Buffer> {
    const { name, command, folder } = this.#parts;
    const scratch = await mkdtemp(join(tmpdir(), 'evenfall-frame-'));
    const file = join(scratch, 'frame.png');
    const values: Readonly<Record<string, string>> = {
      exposure: String(exposure),
      'frame-rate': String(frameRate),
      file,
    };
    const filled = command.map((part) =>
      part.replace(/\{([\w-]+)\}/g, (whole, place: string) => values[place] ?? whole),
    );
    try {
      const output = await runProgram({ name, command: filled, folder }, signal);
      if (!command.some((part) => part.includes('{file}'))) return output;
      return await pictureIn(file).catch((error: Error) => {
        throw this.#error('garbled', `its program wrote no picture (${error.message})`);
      });
    } finally {
      await rm(scratch, { recursive: true, force: true });
    }
  }

  #error(kind: BenchErrorKind, why: string): BenchError {
    return new BenchError(kind, this.name, `${this.name}: ${why}`);
  }
}

/** Of a file alone: a pipe or a device may never end. */
async function pictureIn(file: string): Promise<Buffer> {
  const found = await lstat(file);
  if (!found.isFile()) throw new Error('what it left there is no file');
  if (found.size > mostBytes)
    throw new Error(
      `it wrote ${Math.round(found.size / 2 ** 20)} MiB, at most ${mostBytes / 2 ** 20} are read`,
    );
  return readFile(file);
}
