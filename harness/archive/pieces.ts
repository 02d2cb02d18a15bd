import { appendFile, mkdir, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { npyHeader } from '../files/npy.ts';
import type { Codes } from './code-residuals.ts';
import { safeFileName } from './safe-file-name.ts';

/** Folder in a run's folder of what long conditions had brought before they ended. */
const piecesFolder = 'pieces';

/**
 * What a long condition brings, stored as it comes: each whole record as NumPy file and sidecar, each reading of colour, supply and air as a line. They
 * are worth something only where the condition never ends, and go when its result is stored. Nothing here is flushed to the disk,
 * and nothing fails: a disk that takes no piece takes no result either, and the run says so.
 */
export class ConditionPieces {
  readonly #folder: string;
  readonly #readings: string;
  readonly #bench: string;
  #last: Promise<unknown>;

  /** `name`: of the condition, unique in its run. */
  constructor(runFolder: string, name: string) {
    this.#folder = join(runFolder, piecesFolder, safeFileName(name));
    this.#readings = join(this.#folder, 'readings.ndjson');
    this.#bench = join(this.#folder, 'bench.ndjson');
    this.#last = mkdir(this.#folder, { recursive: true });
    this.#last.catch(() => {});
  }

  record(file: string, codes: Codes, sidecar: Readonly<Record<string, unknown>>): void {
    const name = safeFileName(file.replace(/\.[a-z]+$/, '.npy'));
    const body = new Uint8Array(codes.buffer, codes.byteOffset, codes.byteLength);
    const bytes = Buffer.concat([npyHeader(codes), body]);
    const text = `${JSON.stringify(sidecar, null, 2)}\n`;
    this.#next(() => writeFile(join(this.#folder, name), bytes));
    this.#next(() => writeFile(join(this.#folder, name.replace(/\.npy$/, '.json')), text));
  }

  reading(reading: Readonly<Record<string, unknown>>): void {
    this.#next(() => appendFile(this.#readings, `${JSON.stringify(reading)}\n`));
  }

  /** What supply, chamber and the like said. */
  bench(line: Readonly<Record<string, unknown>>): void {
    this.#next(() => appendFile(this.#bench, `${JSON.stringify(line)}\n`));
  }

  /** Resolves when everything so far has been written, or could not be. */
  async written(): Promise<void> {
    await this.#last.catch(() => {});
  }

  /** The result is stored: the pieces are of no use any more. */
  async remove(): Promise<void> {
    await this.written();
    await rm(this.#folder, { recursive: true, force: true }).catch(() => {});
  }

  #next(write: () => Promise<unknown>): void {
    this.#last = this.#last.then(write, write);
    this.#last.catch(() => {});
  }
}
