import type { ReadingBefore } from '../../record/rig-record.ts';
import { wallClock } from '../wall-clock.ts';
import { type BenchCheck, percent } from './bench-checks.ts';
import type { BenchLook } from './bench-look.ts';
import { figureText } from './figure-text.ts';

/** The lamp at full level, as a drift is told against it. */
export async function readFullLight(look: BenchLook): Promise<ReadingBefore> {
  await look.light(look.all);
  const { mean, standard } = await look.read();
  const light = 'the lamp at full level';
  return { at: wallClock.now(), light, value: mean, standard, unit: look.wire.unit };
}

/**
 * A light against its readings before the first claim, of which a resumed run has one a part: (now - before) / before, of the one that it is
 * furthest from. `most` is a share. The text tells U of that share from the scatter of both readings, k = 2; it is not allowed for.
 */
export function driftCheck(
  now: ReadingBefore,
  readings: readonly ReadingBefore[],
  most: number,
): BenchCheck {
  const [worst] = readings
    .filter(({ light, unit }) => light === now.light && unit === now.unit)
    .map((before) => ({ before, drift: (now.value - before.value) / Math.abs(before.value) }))
    .sort((a, b) => Math.abs(b.drift) - Math.abs(a.drift));
  if (!worst) {
    const text = `${now.light} was not read before the first claim; nothing to tell a drift against`;
    return { check: 'drift', good: false, text };
  }
  const { before, drift } = worst;
  if (before.value === 0) {
    const text = `${now.light} read 0 ${now.unit} before the first claim; is the sensor covered, or not plugged in?`;
    return { check: 'drift', good: false, text };
  }
  const spread = (2 * Math.hypot(now.standard, before.standard)) / Math.abs(before.value);
  const text = `${now.light} reads ${words(now)}, ${percent(drift)} from the ${words(before)} of ${before.at.slice(0, 16).replace('T', ' ')} UTC; ± ${percent(most)} allowed (U = ${percent(spread)}, k = 2)`;
  return { check: 'drift', good: Math.abs(drift) <= most, text };
}

function words({ value, unit }: ReadingBefore): string {
  return `${figureText(Number(value.toPrecision(4)))} ${unit}`;
}
