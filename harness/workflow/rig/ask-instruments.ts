import { dirname, resolve } from 'node:path';
import { compareIdentity, openWhatOpens } from '../../../drivers/open-rig.ts';
import { BenchError } from '../../bench/errors.ts';
import type { Identity, Instrument } from '../../bench/ports.ts';
import type { Rig, RigInstrument } from '../../bench/rig.ts';
import { acquireRigLock, type RigFiles } from './acquire-rig.ts';
import type { RigUse } from './rig-event.ts';

/** What one instrument of a rig answered. */
export interface AskedInstrument {
  readonly entry: RigInstrument;
  readonly identity: Identity | null;
  /** Empty where it is there and is the right one. */
  readonly trouble: string;
  /** Something that is no trouble. */
  readonly remark?: string;
}

/** Asks every instrument of a rig who it is, under the lock of the rig. Switches nothing on. */
export async function askInstruments(files: RigFiles, use: RigUse): Promise<AskedInstrument[]> {
  const { rig, lamp, rigFile } = files;
  const lock = await acquireRigLock(files, use);
  const folder = dirname(resolve(use.cwd, rigFile.file));
  const bench = await openWhatOpens({ rig, lamp, folder });
  try {
    return await Promise.all(
      rig.instruments.map((entry) => {
        const instrument = bench.instruments.get(entry.name);
        return instrument
          ? askOne(entry, instrument, rig, use.signal)
          : { entry, identity: null, trouble: errorText(bench.errors.get(entry.name)) };
      }),
    );
  } finally {
    await bench.close();
    await lock.release();
  }
}

async function askOne(
  entry: RigInstrument,
  instrument: Instrument,
  rig: Rig,
  signal: AbortSignal,
): Promise<AskedInstrument> {
  try {
    const identity = await instrument.identify({ signal, deadline: entry.deadline });
    return { entry, identity, trouble: mismatch(entry, identity) };
  } catch (error) {
    const silent = error instanceof BenchError && error.kind === 'timeout';
    // The rig switches the lamp's power: without it the lamp cannot answer.
    return silent && (rig.supply || rig.switch) && instrument.kind === 'lamp-link'
      ? { entry, identity: null, trouble: '', remark: 'no answer; does the lamp have power?' }
      : { entry, identity: null, trouble: errorText(error) };
  }
}

function mismatch(entry: RigInstrument, identity: Identity): string {
  try {
    compareIdentity(entry, identity);
    return '';
  } catch (error) {
    return errorText(error);
  }
}

function errorText(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
