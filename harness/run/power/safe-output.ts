import type { Call, Supply, SupplyReading } from '../../bench/ports.ts';
import { figure } from '../figure.ts';
import { meterZero } from './still-delivers.ts';

/** Part of the rig's highest voltage that is none: the zero of a meter, and what is left in a capacitor. */
const residue = 0.1;
/** With a current, V above this are a voltage. */
const leastVolts = 1;
/** ms from look to look. */
const pace = 100;
/** A voltage that has not fallen by this part within this time stays: a charged capacitor falls, s. */
const falling = 0.02;
const patience = 1.5;

export interface OutputOutcome {
  readonly confirmed: boolean;
  readonly words: string;
}

/**
 * Whether the terminals of a supply carry no voltage after it was switched off, whatever its status says. Charged capacitors
 * are given time, until `within` seconds have passed, as long as their voltage falls.
 */
export async function awaitNoOutput(
  supply: Supply,
  highestVolts: number,
  call: Call,
): Promise<OutputOutcome> {
  const began = performance.now();
  const passed = (): number => (performance.now() - began) / 1000;
  let noted: { readonly at: number; readonly volts: number } | null = null;
  for (;;) {
    const reading = await supply.read(call);
    if (reading.on)
      return { confirmed: false, words: `output still on at ${figure(reading.volts)} V` };
    const found = `${figure(reading.volts)} V and ${figure(reading.amps)} A`;
    if (isDead(reading, highestVolts))
      return { confirmed: true, words: `output off, read back as ${found}` };
    const { volts } = reading;
    if (!noted || volts < (1 - falling) * noted.volts) noted = { at: passed(), volts };
    if (passed() - noted.at > patience || passed() + pace / 1000 > call.deadline)
      return {
        confirmed: false,
        words: `it says that its output is off, but its terminals still carry ${found} ${passed().toFixed(1)} s later`,
      };
    await new Promise((resolve) => setTimeout(resolve, pace));
  }
}

function isDead({ volts, amps }: SupplyReading, highestVolts: number): boolean {
  const left = Math.abs(volts);
  return left <= residue * highestVolts && (left <= leastVolts || Math.abs(amps) <= meterZero);
}
