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
  for (let run = Math.max(0, line.runAt(from)); run < line.runs; run++) {
    const start = line.time[run]!;
    if (start >= to) return;
    const end = Math.min(to, run + 1 < line.runs ? line.time[run + 1]! : to);
    const value = line.value[run]!;
    const span = line.spans[line.spanOf(run)]!;
    const first = Math.max(from, start);
    if (value === 0 || first >= end) continue;
    if (value >= span.full) yield { on: first, off: end };
    else if (span.setup.kind === 'pulse-density') {
      yield* densityPulses(line, run, span, first, end);
    } else if (span.setup.kind === 'pwm') yield* pwmPulses(span, value, first, end);
  }
}

/** The m-th carry of a run falls into the first clock n with phase + (n+1) density >= m full. */
function* densityPulses(
  line: DriveLine,
  run: number,
  { full, pace }: SetupSpan,
  from: number,
  to: number,
): Generator<{ on: number; off: number }> {
  const start = line.time[run]!;
  const phase = line.phase[run]!;
  const density = line.value[run]!;
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
