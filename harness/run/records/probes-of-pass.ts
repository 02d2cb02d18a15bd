import type { OpenBench } from '../../bench/ports.ts';
import type { ProbeTrack } from '../../measure/observation.ts';
import type { ConditionRecord } from '../../record/run-record.ts';

export type ProbeOfPass = NonNullable<ConditionRecord['probes']>[number];

/** The variables that a condition asks for, or all where everything is recorded, as told up to now, on its time line; it began at `zero`, s. */
export function probesOfPass(
  bench: Pick<OpenBench, 'probes' | 'inside'>,
  { probes: asked = [] }: { readonly probes?: readonly string[] },
  { zero, solo }: { readonly zero: number; readonly solo: string | null },
): ProbeOfPass[] {
  if (asked.length === 0 && !bench.inside) return [];
  const told = bench.probes?.() ?? null;
  const all = bench.inside ? (told ?? []).map(({ name }) => name) : [];
  const wanted = [...new Set([...asked, ...all])];
  return wanted.map((name) => {
    const track = told?.find((one) => one.name === name);
    if (!track)
      return { solo, name, unit: '', at: [], values: [], missing: whyMissing(name, told) };
    const { unit, at, values, until, late } = track;
    return {
      ...{ solo, name, unit, values: [...values] },
      at: at.map((instant) => instant - zero),
      ...(late !== undefined && { late }),
      ...(until !== null && { until: until - zero }),
    };
  });
}

function whyMissing(name: string, told: readonly ProbeTrack[] | null): string {
  if (told === null)
    return `nothing is heard of probes on this rig, which has no console of the lamp; run the claim on the simulated lamp`;
  const names = told.map((one) => one.name).join(', ');
  return `it never told probe ${name}; ${names ? `it told ${names}` : 'it told none'}`;
}

/** What metrics read: of several passes the first in which the whole lamp was lit. */
export function tracksOf(probes: readonly ProbeOfPass[]): readonly ProbeTrack[] {
  const names = [...new Set(probes.map(({ name }) => name))];
  return names.flatMap((name) => {
    const own = probes.filter((one) => one.name === name);
    const best = own.find(({ solo }) => solo === null) ?? own[0];
    if (!best) return [];
    const { solo: _, until = null, missing, late, ...track } = best;
    return [
      {
        ...{ ...track, until },
        ...(missing !== undefined && { missing }),
        ...(late !== undefined && { late }),
      },
    ];
  });
}
