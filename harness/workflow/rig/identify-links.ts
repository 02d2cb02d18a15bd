import { reachInstrument } from '../../../drivers/open-rig.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type { Identity, OpenBench } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import { powerUp } from '../../run/condition/power-up.ts';

/** Gives the lamp power and asks over every link who is there; what answers has to be what the rig file says. */
export async function identifyLinks(
  bench: OpenBench,
  { rig, lamp }: { readonly rig: Rig; readonly lamp: Lamp },
  signal: AbortSignal,
): Promise<ReadonlyMap<string, Identity>> {
  const identities = new Map<string, Identity>();
  const links = rig.instruments.flatMap((entry) => {
    const instrument = bench.instruments.get(entry.name);
    return instrument?.kind === 'lamp-link' ? [{ entry, link: instrument }] : [];
  });
  if (links.length === 0) return identities;
  await powerUp(bench, rig, lamp, signal);
  for (const { entry, link } of links) {
    identities.set(link.name, (await reachInstrument(link, entry, signal)).identity);
  }
  return identities;
}
