import { BenchError } from '../../bench/errors.ts';
import type { Instrument, OpenBench } from '../../bench/ports.ts';

/** The bench's instrument of that name, which has to be of that kind. */
export function instrumentOf<Kind extends Instrument['kind']>(
  bench: OpenBench,
  name: string,
  kind: Kind,
): Extract<Instrument, { readonly kind: Kind }> {
  const instrument = bench.instruments.get(name);
  if (instrument && isOfKind(instrument, kind)) return instrument;
  const found = instrument ? `is a ${instrument.kind}` : 'the rig has none of that name';
  throw new BenchError('unsupported', name, `instrument ${name} should be a ${kind}, but ${found}`);
}

function isOfKind<Kind extends Instrument['kind']>(
  instrument: Instrument,
  kind: Kind,
): instrument is Extract<Instrument, { readonly kind: Kind }> {
  return instrument.kind === kind;
}
