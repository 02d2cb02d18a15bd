import { readFile } from 'node:fs/promises';
import writeFileAtomic from 'write-file-atomic';
import { openWhatOpens, type RigToOpen } from '../../../drivers/open-rig.ts';
import type { OpenBench } from '../../bench/ports.ts';
import { makeSafe, type SafeOutcome } from '../../run/condition/make-safe.ts';
import { wallClock } from '../wall-clock.ts';

/**
 * Brings a rig to its safe state by connections of its own, whatever state it was left in. Instruments that cannot be
 * opened are left out and named. Never rejects.
 */
export async function makeRigSafe(to: RigToOpen): Promise<SafeOutcome> {
  try {
    const { errors, ...bench } = await openWhatOpens(to);
    try {
      const outcome = await makeSafe(bench, to.rig);
      const lost = [...errors].map(([name, error]) => `${name}: ${errorText(error)}`);
      return { ...outcome, detail: [outcome.detail, ...lost].join('; ') };
    } finally {
      await bench.close();
    }
  } catch (error) {
    return { confirmed: false, detail: errorText(error) };
  }
}

/** Safe by the connections at hand; by new ones where these do not confirm it. */
export async function makeBenchSafe(bench: OpenBench | null, to: RigToOpen): Promise<SafeOutcome> {
  if (bench) {
    const outcome = await makeSafe(bench, to.rig);
    if (outcome.confirmed) return outcome;
    await bench.close();
    const again = await makeRigSafe(to);
    return again.confirmed
      ? again
      : { confirmed: false, detail: `${outcome.detail}; by new connections: ${again.detail}` };
  }
  return makeRigSafe(to);
}

/** Beside the lock of a rig: what its last watchdog did, for `evenfall rig list`. */
export function safeNoteFile(lock: string): string {
  return `${lock}.safe.json`;
}

interface SafeNote extends SafeOutcome {
  /** ISO 8601 UTC. */
  readonly at: string;
  /** Of the use of the rig that had ended. */
  readonly token: string;
}

export async function writeSafeNote(
  lock: string,
  token: string,
  outcome: SafeOutcome,
): Promise<void> {
  const note: SafeNote = { at: wallClock.now(), token, ...outcome };
  await writeFileAtomic(safeNoteFile(lock), `${JSON.stringify(note)}\n`).catch(() => {});
}

/** Null where there is none that can be read. */
export async function readSafeNote(lock: string): Promise<SafeNote | null> {
  try {
    return JSON.parse(await readFile(safeNoteFile(lock), 'utf8'));
  } catch {
    return null;
  }
}

function errorText(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
