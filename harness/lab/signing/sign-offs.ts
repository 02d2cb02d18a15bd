import type { FileHandle } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { ledgerOf } from '../../archive/ledger.ts';
import { isFileOfRun, signoffsFolder } from '../../archive/manifest.ts';
import { openPlainFile } from '../../archive/plain-file.ts';
import type { Policy } from '../../archive/policy.ts';
import { isSafeFileName } from '../../archive/safe-file-name.ts';
import { readPolicy } from '../../workflow/signing/read-policy.ts';
import { updateIndex } from '../../workflow/signing/sign-off.ts';
import type { RunToSign, SentSignoff } from '../protocol.ts';
import { Refusal } from '../refusal.ts';
import { folderOfRun, orRefusal } from '../submissions/folder-of-run.ts';
import type { Submissions } from '../submissions/submissions.ts';
import { seenRun } from './run-to-sign.ts';
import { takeSignoff } from './take-signoff.ts';

interface Parts {
  readonly archive: string;
  readonly submissions: Submissions;
  /** Policy file that decisions are held against; null: none. */
  readonly policyFile: string | null;
}

/** Decisions on the runs of a lab. Keys stay with their owners: what comes here is signed already. */
export class SignOffs {
  readonly #parts: Parts;

  constructor(parts: Parts) {
    this.#parts = parts;
  }

  /** A run by its folder's name, its id, `latest`, or the submission that it came of. */
  async runToSign(name: string): Promise<RunToSign> {
    return orRefusal(async () => {
      const folder = await this.#folderOf(name);
      const seen = await seenRun(folder, ledgerOf(this.#parts.archive));
      const policy = await this.#policy();
      return {
        ...{ folder: basename(folder), seen },
        policy: policy && { name: policy.name, version: policy.version, digest: policy.digest },
      };
    });
  }

  /** A file of a run, open. */
  async openFile(run: string, file: string): Promise<FileHandle> {
    const isOne = file.startsWith(`${signoffsFolder}/`) ? isSafeFileName(file) : isFileOfRun(file);
    if (!isOne) throw new Refusal('not-found', 'no run has a file of this name');
    return orRefusal(async () => openPlainFile(join(await this.#folderOf(run), file)));
  }

  /** The ledger of decisions, open. */
  async openLedger(): Promise<FileHandle> {
    return orRefusal(() => openPlainFile(ledgerOf(this.#parts.archive)));
  }

  async take(run: string, sent: SentSignoff): Promise<{ readonly folder: string }> {
    return orRefusal(async () => {
      const folder = await this.#folderOf(run);
      const ledger = ledgerOf(this.#parts.archive);
      await takeSignoff({ folder, ledger, policy: await this.#policy() }, sent);
      await updateIndex(folder).catch(() => {});
      return { folder: basename(folder) };
    });
  }

  /** As its file says now: what is revoked counts from the next decision on. */
  async #policy(): Promise<Policy | null> {
    const { policyFile } = this.#parts;
    return policyFile === null ? null : (await readPolicy(policyFile)).policy;
  }

  #folderOf(name: string): Promise<string> {
    const { archive, submissions } = this.#parts;
    return folderOfRun(archive, submissions, name);
  }
}
