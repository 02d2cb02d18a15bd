import type { Schedule } from '../../plan/schedule.ts';
import { callOn, type StimulusContext, supplyOf } from '../condition/stimulus.ts';
import { SupplyWatch } from './supply-watch.ts';

/** The watch over the supply of a rig; null where time is virtual, since a simulated supply does what it is told. */
export function watchOf(
  { actions }: Schedule,
  { bench, rig, lamp, signal }: Pick<StimulusContext, 'bench' | 'rig' | 'lamp' | 'signal'>,
): SupplyWatch | null {
  if (bench.clock.kind === 'virtual' || !rig.supply) return null;
  const supply = supplyOf(bench, rig);
  return new SupplyWatch({
    supply,
    clock: bench.clock,
    nominal: lamp.supply.nominal,
    limitAmps: rig.supply.highestAmps,
    changes: actions.filter(({ step }) => step.verb === 'supply').map(({ at }) => at),
    call: callOn({ rig, signal }, supply.name),
    pieces: bench.pieces,
  });
}
