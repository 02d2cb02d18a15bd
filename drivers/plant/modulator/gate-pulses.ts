import type { DriveLine, SetupSpan } from './drive-line.ts';

/** Gate pulses one by one within [from, to), in order of time, neighbours joined: for records fast enough to see them. */
export function* gatePulses(
  line: DriveLine,
  from: number,
  to: number,
): Generator<{ on: number; off: number }> {
  let open: { on: number; off: number } | null = null;
  for (const pulse of separatePulses(line, from, to)) {
    // Rounding alone never parts two pulses: the shortest gap is a bit clock.
    if (open && pulse.on <= open.off + 1e-12) open.off = Math.max(open.off, pulse.off);
    else {
      if (open) yield open;
      open = pulse;
    }
  }
  if (open) yield open;
}

function* separatePulses(
  line: DriveLine,
  from: number,
  to: number,
): Generator<{ on: number; off: number }> {
  for (let index = Math.max(0, line.spanAt(from)); index < line.spans.length; index++) {
    const span = line.spans[index]!;
    const until = Math.min(to, line.spans[index + 1]?.from ?? to);
    const last = line.endOfSpan(index);
    for (let run = line.runAt(index, line.positionOf(index, from)); run < last; run++) {
      const start = line.instantOf(index, line.position[run]!);
      if (start >= until) break;
      const next = run + 1 < last ? line.instantOf(index, line.position[run + 1]!) : until;
      const end = Math.min(until, next);
      const first = Math.max(from, start);
      const value = line.value[run]!;
      if (value === 0 || first >= end) continue;
      if (value >= span.full) yield { on: first, off: end };
      else if (span.setup.kind === 'pulse-density') {
        yield* densityPulses(start, line.phase[run]!, value, span, first, end);
      } else if (span.setup.kind === 'pwm') yield* pwmPulses(span, value, first, end);
    }
  }
}

/** The m-th carry of a run falls into the first clock n with phase + (n+1) density >= m full. */
function* densityPulses(
  start: number,
  phase: number,
  density: number,
  { full, pace }: SetupSpan,
  from: number,
  to: number,
): Generator<{ on: number; off: number }> {
  const skipped = Math.max(0, Math.floor((from - start) * pace) - 1);
  let carry = Math.floor((phase + skipped * density) / full) + 1;
  for (; ; carry++) {
    const clock = Math.ceil((carry * full - phase) / density) - 1;
    const on = Math.max(from, start + clock / pace);
    if (on >= to) return;
    const off = Math.min(to, start + (clock + 1) / pace);
    if (off > on) yield { on, off };
  }
}

function* pwmPulses(
  { full, pace, from: zero, origin }: SetupSpan,
  value: number,
  from: number,
  to: number,
): Generator<{ on: number; off: number }> {
  let period = Math.floor(origin + (from - zero) * pace);
  for (; ; period++) {
    const on = zero + (period - origin) / pace;
    if (on >= to) return;
    const off = on + value / full / pace;
    if (off > from) yield { on: Math.max(from, on), off: Math.min(to, off) };
  }
}
