import { BenchError } from '../../bench/errors.ts';
import type { Call, OpenBench, Supply, SupplyReading } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import { deliversText, hasFallen, stillDelivers } from './still-delivers.ts';

/** s from look to look, where it cannot be told yet. */
const pace = 0.25;

/**
 * Reads a supply that was switched off between two conditions `since` seconds ago. Throws BenchError `supply-fault` where it
 * goes on as before: the lamp would remember what it was told in the condition before. Where next to no current flows,
 * capacitors may hold the voltage up: it has to fall in the end. Nothing where the rig has no supply.
 */
export async function supplyMustBeOff(
  { instruments, clock }: Pick<OpenBench, 'instruments' | 'clock'>,
  rig: Rig,
  { volts, since }: { readonly volts: number; readonly since: number },
  call: Call,
): Promise<void> {
  const supply = instruments.get(rig.supply?.instrument ?? '');
  if (supply?.kind !== 'supply') return;
  const off = clock.now() - since;
  for (;;) {
    const lowered = { before: volts, after: 0, since: clock.now() - off };
    const reading = await supply.read(call).catch(unreadable);
    if (!reading) return;
    if (hasFallen(reading.volts, volts)) return;
    if (reading.on || stillDelivers(reading, lowered))
      throw staysOn(supply, reading, lowered.since);
    await clock.waitUntil(clock.now() + pace, call.signal);
  }
}

/** Supplies that cannot be read are none to be held against their word. */
function unreadable(error: unknown): null {
  if (error instanceof BenchError && error.kind === 'unsupported') return null;
  throw error;
}

function staysOn(supply: Supply, reading: SupplyReading, since: number): BenchError {
  return new BenchError(
    'supply-fault',
    supply.name,
    `${deliversText(reading, since)}, before the condition: the lamp was not without power, and may remember what it was told. Look at the supply and its wires`,
  );
}
