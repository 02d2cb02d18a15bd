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

export async function writeSafeNote(lock: string, outcome: SafeOutcome): Promise<void> {
  const note = { at: wallClock.now(), ...outcome };
  await writeFileAtomic(safeNoteFile(lock), `${JSON.stringify(note)}\n`).catch(() => {});
}

function errorText(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
