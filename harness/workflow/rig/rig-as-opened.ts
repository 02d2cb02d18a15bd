import type { OpenBench } from '../../bench/ports.ts';
import type { Rig, RigInstrument } from '../../bench/rig.ts';

/**
 * The rig file's rig with what its opened digitisers say of themselves (rate, memory, one record at a time, acquisition),
 * for preflight. What the file says stands: it may know of a limit that the instrument does not.
 */
export function rigAsOpened(rig: Rig, { instruments }: Pick<OpenBench, 'instruments'>): Rig {
  const completed = (entry: RigInstrument): RigInstrument => {
    const instrument = instruments.get(entry.name);
    if (instrument?.kind !== 'digitiser') return entry;
    const { highestRate, longestRecord, acquisition, oneRecord } = instrument.capabilities;
    const { limits } = entry;
    return {
      ...entry,
      limits: {
        highestRate: limits.highestRate ?? highestRate,
        longestRecord: limits.longestRecord,
        memory: limits.memory ?? longestRecord,
        oneRecord: limits.oneRecord ?? oneRecord,
        acquisition: limits.acquisition ?? acquisition,
      },
    };
  };
  return { ...rig, instruments: rig.instruments.map(completed) };
}
