import { lstat, readdir, rename, rm, rmdir } from 'node:fs/promises';
import { join } from 'node:path';
import { curvesOf, withoutCurves } from '../record/curves.ts';
import { runFolderName } from '../record/ids.ts';
import { isStored } from '../record/kept-captures.ts';
import type { CaptureRecord, ConditionRecord, RunRecord } from '../record/run-record.ts';
import { conditionSchema, runRecordSchema } from '../record/run-record.ts';
import { storableCondition, storableRecord } from '../record/storable.ts';
import { ArchiveError, fileSystemError } from './archive-error.ts';
import { asideFolder, removeLeftovers } from './aside-folder.ts';
import { entriesOf } from './broken-files.ts';
import { filesOfCapture, isCaptureName, writeCapture } from './capture-file.ts';
import type { Codes } from './code-residuals.ts';
import { curvesFile, encodeCurves } from './curves-file.ts';
import { Journal, journalFile } from './journal.ts';
import { makeFolder } from './make-folder.ts';
import {
  type Manifest,
  manifestFile,
  manifestText,
  parseManifest,
  readManifest,
  type StoredFile,
  sha256,
  sha256File,
  signoffsFolder,
} from './manifest.ts';
import { recordBytes, recordFile, recordText } from './record-file.ts';
import { recoverRun } from './recover-run.ts';
import { clearRunning, type RunningCondition, writeRunning } from './running-now.ts';
import { safeFileName } from './safe-file-name.ts';
import { flushFolder, partSuffix, writeFileWhole } from './write-file-whole.ts';
import { clearWriterMark, markWriter } from './writer-mark.ts';

/** A rendered report to be stored beside the record, e.g. `junit.xml`, `index.html`. */
export interface ReportFile {
  readonly name: string;
  readonly content: string | Uint8Array;
}

/**
 * One run on the disk, while it is written. From the first moment `run.json` says `unfinished`; each finished condition
 * is a line of the journal; `finish` writes the reports, the final `run.json`, and last the manifest, which seals the
 * folder. Killed in between, the folder has no manifest, and `recoverRun` tells all that was known.
 */
export interface RunFolder {
  readonly path: string;
  readonly id: string;
  /** `conditionId`s that an earlier attempt left whole; empty for a new run. */
  readonly finished: ReadonlySet<string>;
  /** Stores the raw codes of one input under `captures/<capture.file>`; a name is never written twice. */
  saveCapture(capture: CaptureRecord, codes: Codes): Promise<void>;
  /** Resolves when the condition would survive a kill. Its captures must have been saved before. */
  saveCondition(spec: string, condition: ConditionRecord): Promise<void>;
  /** Says what is being measured, to those who look on. */
  tellRunning(conditions: readonly RunningCondition[]): void;
  /** Seals the run. After it every call rejects. */
  finish(record: RunRecord, reports: readonly ReportFile[]): Promise<Manifest>;
  /** Stops writing without sealing: the run stays unfinished. Idempotent. */
  close(): Promise<void>;
}

/**
 * A new folder `root/<utc>-<lamp>-<build>-<short id>/` with `record` as its header (the specs without conditions).
 * Rejects with ArchiveError `not-writable`, `full` or `exists`.
 */
export async function createRunFolder(root: string, record: RunRecord): Promise<RunFolder> {
  const header = checked({ ...record, ended: 'unfinished' as const, endedAt: null });
  const path = join(root, runFolderName(record));
  // Made aside and renamed, so that no folder without a record is ever seen.
  const aside = asideFolder(root, runFolderName(record));
  let made = aside;
  try {
    await removeLeftovers(root);
    await makeFolder(join(aside, 'captures'));
    await writeFileWhole(join(aside, recordFile), recordText(header));
    await rename(aside, path);
    made = path;
    await flushFolder(root);
    await markWriter(path);
    return new Writer(path, header, Journal.open(path, 0));
  } catch (error) {
    // A header alone is of no use to anybody.
    await clearWriterMark(made).catch(() => {});
    await rm(made, { recursive: true, force: true }).catch(() => {});
    throw fileSystemError(error, `storing the run in ${path}`);
  }
}

/** Goes on with a run that was cut off. Rejects with `sealed` when it is complete, with `busy` when it is still written to. */
export async function resumeRunFolder(
  path: string,
): Promise<{ readonly folder: RunFolder; readonly record: RunRecord }> {
  if (await readManifest(path)) {
    throw new ArchiveError('sealed', `the run in ${path} is complete: there is nothing to resume`);
  }
  await refuseForeign(path);
  const recovered = await recoverRun(path);
  try {
    await markWriter(path);
    clearRunning(path);
    await removeStrays(path, new Set(recovered.files.map(({ file }) => file)));
    const journal = Journal.open(path, recovered.journalEnd);
    const folder = new Writer(path, recovered.record, journal, recovered.finished, recovered.files);
    return { folder, record: recovered.record };
  } catch (error) {
    throw fileSystemError(error, `resuming the run in ${path}`);
  }
}

const mostFlushes = 64;

class Writer implements RunFolder {
  readonly path: string;
  readonly id: string;
  readonly finished: ReadonlySet<string>;
  readonly #specs: ReadonlySet<string>;
  readonly #journal: Journal;
  readonly #files: Map<string, StoredFile>;
  readonly #flushing = new Set<Promise<void>>();
  #flushFailure: { readonly error: unknown } | null = null;
  #closed = false;

  constructor(
    path: string,
    header: RunRecord,
    journal: Journal,
    finished: ReadonlySet<string> = new Set(),
    files: readonly StoredFile[] = [],
  ) {
    this.path = path;
    this.id = header.id;
    this.finished = finished;
    this.#specs = new Set(header.specs.map(({ spec }) => spec));
    this.#journal = journal;
    this.#files = new Map(files.map((file) => [file.file, file]));
  }

  async saveCapture(capture: CaptureRecord, codes: Codes): Promise<void> {
    this.#mustBeOpen();
    const name = safeFileName(capture.file);
    if (!isCaptureName(name)) {
      const text = `expected a capture named *.codes or *.npy, found ${name}`;
      throw new ArchiveError('bad-name', text);
    }
    const key = `captures/${name}`;
    if (this.#files.has(key)) {
      throw new ArchiveError('exists', `${key} is stored already; captures are never overwritten`);
    }
    try {
      const { files, flushed } = await writeCapture(this.path, capture, codes);
      for (const file of files) this.#files.set(file.file, file);
      await this.#flushLater(flushed);
    } catch (error) {
      throw fileSystemError(error, `storing ${join(this.path, key)}`);
    }
  }

  /** Each flush holds two open files: a slow disk must not use up all that a process may have. */
  async #flushLater(flushed: Promise<void>): Promise<void> {
    const own = flushed.catch((error: unknown) => {
      this.#flushFailure ??= { error };
    });
    this.#flushing.add(own);
    void own.then(() => this.#flushing.delete(own));
    while (this.#flushing.size > mostFlushes) await Promise.race(this.#flushing);
  }

  async saveCondition(spec: string, condition: ConditionRecord): Promise<void> {
    this.#mustBeOpen();
    if (!this.#specs.has(spec)) {
      throw new ArchiveError('bad-record', `the run's header knows no spec ${spec}`);
    }
    const parsed = conditionSchema.safeParse(storableCondition(condition));
    if (!parsed.success) throw badRecord(`condition ${condition.key} of ${spec}`, parsed.error);
    const files = condition.captures.filter(isStored).flatMap(({ file }) => this.#filesOf(file));
    try {
      this.#journal.append({ spec, condition: parsed.data, files });
    } catch (error) {
      throw fileSystemError(error, `storing condition ${condition.key} of ${spec}`);
    }
  }

  tellRunning(conditions: readonly RunningCondition[]): void {
    if (!this.#closed) writeRunning(this.path, conditions);
  }

  async finish(record: RunRecord, reports: readonly ReportFile[]): Promise<Manifest> {
    this.#mustBeOpen();
    const storable = checked(storableRecord(record));
    if (record.id !== this.id) {
      throw new ArchiveError('bad-record', `expected run ${this.id}, found run ${record.id}`);
    }
    try {
      await this.close();
      await Promise.all(this.#flushing);
      if (this.#flushFailure) throw this.#flushFailure.error;
      await flushFolder(join(this.path, 'captures'));
      for (const report of reports) await this.#write(safeFileName(report.name), report.content);
      await this.#write(curvesFile, encodeCurves(this.id, curvesOf(storable)));
      await this.#write(recordFile, recordBytes(withoutCurves(storable)));
      await rm(join(this.path, journalFile), { force: true });
      await removeStrays(this.path, new Set(this.#files.keys()));
      await this.#adopt();
      const files = [...this.#files.values()];
      const path = join(this.path, manifestFile);
      const text = manifestText({ run: this.id, files });
      await writeFileWhole(path, text);
      return parseManifest(text, path);
    } catch (error) {
      throw fileSystemError(error, `sealing the run in ${this.path}`);
    }
  }

  async close(): Promise<void> {
    if (this.#closed) return;
    this.#closed = true;
    clearRunning(this.path);
    try {
      await this.#journal.close();
    } finally {
      await clearWriterMark(this.path);
    }
  }

  async #write(name: string, content: string | Uint8Array): Promise<void> {
    const bytes = typeof content === 'string' ? Buffer.from(content) : content;
    await writeFileWhole(join(this.path, name), bytes);
    this.#files.set(name, { file: name, bytes: bytes.length, sha256: sha256(bytes) });
  }

  /** Seals along what else lies there: a person's note, or a report of an attempt that was cut off. */
  async #adopt(): Promise<void> {
    for (const file of await refuseForeign(this.path)) {
      if (this.#files.has(file)) continue;
      const path = join(this.path, file);
      const { size } = await lstat(path);
      this.#files.set(file, { file, bytes: size, sha256: await sha256File(path) });
    }
  }

  #filesOf(capture: string): StoredFile[] {
    return filesOfCapture(capture).map((name) => {
      const file = this.#files.get(name);
      if (file) return file;
      throw new ArchiveError('bad-record', `capture ${capture} was not saved before its condition`);
    });
  }

  #mustBeOpen(): void {
    if (!this.#closed) return;
    throw new ArchiveError('sealed', `the run in ${this.path} is closed: nothing can be added`);
  }
}

function checked(record: RunRecord): RunRecord {
  const parsed = runRecordSchema.safeParse(record);
  if (!parsed.success) throw badRecord('the run record', parsed.error);
  return parsed.data;
}

function badRecord(
  what: string,
  error: { readonly issues: readonly { path: PropertyKey[]; message: string }[] },
): ArchiveError {
  const issue = error.issues[0];
  const where = issue?.path.map(String).join('.') ?? '';
  const text = `${what} cannot be stored: ${where}: ${issue?.message}`;
  return new ArchiveError('bad-record', text, { cause: error });
}

/**
 * The files of a folder that is not sealed. Folders that hold nothing are removed; links, pipes, sockets and devices can neither
 * be sealed nor written to: rejects with `damaged`, which names them.
 */
async function refuseForeign(path: string): Promise<ReadonlySet<string>> {
  const { files, foreign } = await entriesOf(path);
  const named: string[] = [];
  for (const [file, kind] of foreign) {
    if (kind === 'empty folder') await rmdir(join(path, file));
    else named.push(`${file} (${kind})`);
  }
  if (named.length === 0) return files;
  const text = `expected files alone in ${path}, found ${named.join(', ')}; remove what is no file, then resume the run`;
  throw new ArchiveError('damaged', text);
}

/** Removes what a killed writer left behind: half-written neighbours and captures that no condition rests on. */
async function removeStrays(path: string, keep: ReadonlySet<string>): Promise<void> {
  for (const name of await readdir(path)) {
    if (name.endsWith(partSuffix)) await rm(join(path, name), { force: true });
  }
  for (const name of await readdir(join(path, 'captures'))) {
    if (!keep.has(`captures/${name}`)) await rm(join(path, 'captures', name), { force: true });
  }
  // Nothing can have been signed before the seal.
  await rm(join(path, signoffsFolder), { recursive: true, force: true });
}
