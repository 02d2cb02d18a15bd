import { type DriveLine, instantOf, positionOf, type SetupSpan } from './drive-line.ts';

/** A stretch of time in which the gate is on: from `on` to before `off`, s. */
interface Pulse {
  readonly on: number;
  off: number;
}

/** Gate pulses one by one within [from, to), in order of time, neighbours joined: for records fast enough to see them. */
export function* gatePulses(line: DriveLine, from: number, to: number): Generator<Pulse> {
  let open: Pulse | null = null;
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

function* separatePulses(line: DriveLine, from: number, to: number): Generator<Pulse> {
  for (const span of line.spansFrom(from)) {
    const until = Math.min(to, span.until);
    const last = line.endRun(span);
    for (let run = line.runAt(span, positionOf(span, from)); run < last; run++) {
      const start = instantOf(span, line.position(run));
      if (start >= until) break;
      const next = run + 1 < last ? instantOf(span, line.position(run + 1)) : until;
      const end = Math.min(until, next);
      const first = Math.max(from, start);
      const value = line.value(run);
      if (value === 0 || first >= end) continue;
      if (value >= span.full) yield { on: first, off: end };
      else if (span.setup.kind === 'pulse-density') {
        yield* densityPulses({ start, phase: line.phase(run), density: value }, span, first, end);
      } else if (span.setup.kind === 'pwm') yield* pwmPulses(span, value, first, end);
    }
  }
}

/** The m-th carry of a run falls into the first clock n with phase + (n+1) density >= m full. */
function* densityPulses(
  run: { readonly start: number; readonly phase: number; readonly density: number },
  { full, pace }: SetupSpan,
  from: number,
  to: number,
): Generator<Pulse> {
  const { start, phase, density } = run;
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
): Generator<Pulse> {
  let period = Math.floor(origin + (from - zero) * pace);
  for (; ; period++) {
    const on = zero + (period - origin) / pace;
    if (on >= to) return;
    const off = on + value / full / pace;
    if (off > from) yield { on: Math.max(from, on), off: Math.min(to, off) };
  }
}
