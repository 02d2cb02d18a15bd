import type { LookedAt, WireFigure } from '../../bench/look-schema.ts';
import type { Wire } from '../../bench/rig.ts';
import { wireFor } from '../../plan/captures/wire-for.ts';
import { Complaint } from '../complaint.ts';
import type { RigAndLamp } from './bench-look.ts';

interface Look extends LookedAt {
  readonly dark?: { readonly most: WireFigure };
  readonly reference?: { readonly expected: WireFigure };
}

/** The wire that `before:` or `after:` reads. A Complaint where the rig has none, or where its unit is not that of the figures. */
export function lookedAtWire(
  part: 'before' | 'after',
  { signal, of, dark, reference }: Look,
  { rig, lamp }: RigAndLamp,
): Wire {
  const known = of === 'all' || lamp.channels.some(({ channel }) => channel === of);
  const wire = known ? wireFor(signal, of, rig, lamp) : undefined;
  if (!wire)
    throw new Complaint('bad-file', `${part}: rig ${rig.rig} has no input for ${signal} of ${of}`);
  const figures = [dark?.most, reference?.expected].filter((each): each is WireFigure => !!each);
  const other = figures.find(({ unit }) => unit !== wire.unit);
  if (!other) return wire;
  throw new Complaint(
    'bad-file',
    `${part}: expected figures in ${wire.unit}, the unit of ${signal} in the wiring, found one in ${other.unit}`,
  );
}
