import { BenchError } from '../../bench/errors.ts';
import type { DarkLook, OpenBench } from '../../bench/ports.ts';
import type { Commanded } from '../../measure/observation.ts';
import type { Freshness } from '../../record/run-record.ts';
import type { PassRecords } from '../records/pass-records.ts';
import type { RawRecord } from '../records/raw-record.ts';
import { litBlocks } from './lit-blocks.ts';

/** The lit lamp reads more than the dark one by so many times the scatter of that, and by this part. */
const certainty = 8;
const clearly = 0.1;

/**
 * How the records of each digitiser of a pass are known to be new: by the digitiser itself (`count`, `time`, `nonce`), or by the
 * `light`, which was dark when it was looked at before, and is not now; else `not proved`. Throws BenchError `stale`
 * where it reads of the lit lamp what it read of one without power, and that was light.
 */
export function freshEvidence(
  { waveforms }: PassRecords,
  story: Commanded,
  { taken, clock, instruments }: OpenBench,
): readonly Freshness[] {
  if (!taken || clock.kind === 'virtual') return [];
  const names = new Set(waveforms.map(({ capture }) => capture.wire.instrument));
  return [...names].flatMap((instrument): readonly Freshness[] => {
    const digitiser = instruments.get(instrument);
    if (digitiser?.kind !== 'digitiser' || digitiser.capabilities.stored) return [];
    const own = waveforms.filter(({ capture }) => capture.wire.instrument === instrument);
    const dark = taken.darkOf(instrument);
    if (dark && !taken.isProved(instrument) && isShown(instrument, dark, own, story))
      taken.noteProved(instrument);
    const light = taken.isProved(instrument) ? 'light' : 'not proved';
    const stated = own.every(({ raw }) => raw.proof !== undefined) ? own[0]?.raw.proof : undefined;
    return [{ instrument, proof: stated ?? light }];
  });
}

/** The lamp was lit, and the input that was dark before shows it. */
function isShown(
  instrument: string,
  dark: DarkLook,
  records: readonly RawRecord[],
  story: Commanded,
): boolean {
  const lit = records.filter((record) => record.raw.input === dark.input && wasLit(record, story));
  if (lit.length === 0) return false;
  // Scaled by its wire already.
  const asRead = { scale: 1, offset: 0 };
  const most = Math.max(...lit.map(({ raw }) => litBlocks(raw, asRead).most));
  const more = most - Math.abs(dark.mean);
  if (more > Math.max(certainty * dark.scatter, clearly * dark.most)) return true;
  if (!dark.lit) return false;
  const [{ capture }] = lit as [RawRecord];
  throw new BenchError(
    'stale',
    instrument,
    `input ${dark.input} read ${figure(dark.most)} ${capture.wire.unit} with the lamp without power, and no more of the lit lamp (${figure(most)} ${capture.wire.unit}); expected a difference. It may hand over a record from before the run, or other light reaches the sensor`,
  );
}

function wasLit({ raw }: RawRecord, { channels }: Commanded): boolean {
  const [from, to] = [raw.start, raw.start + raw.codes.length / raw.rate];
  return channels.some(({ segments }) =>
    segments.some(
      (one) => one.from < to && one.to > from && Math.max(one.startLevel, one.endLevel) > 0,
    ),
  );
}

function figure(value: number): string {
  return String(Number(value.toPrecision(3)));
}
