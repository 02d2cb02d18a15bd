import { endOf, type SampleBlock } from '../sample-block.ts';
import type { PulseShape } from '../stage/pulse-shape.ts';
import { type DriveLine, endPosition, positionOf, type SetupSpan } from './drive-line.ts';
import { DensityRuns } from './pulse-density.ts';
import { PulseWidthRuns } from './pulse-width.ts';
import { Runs } from './runs.ts';

/** What a channel adds to a signal, in the signal's unit. */
export interface ChannelPart {
  /** While the gate is on. */
  readonly on: number;
  /** At an analogue drive of 0..1. */
  analogue(drive: number): number;
}

/**
 * Adds to each sample of a block what a channel contributes on average over the sample. Closed form: the cost is per
 * sample and per run, never per bit clock.
 */
export function addGateMean(
  block: SampleBlock,
  line: DriveLine,
  shape: PulseShape,
  contribution: ChannelPart,
): void {
  const end = endOf(block);
  for (const span of line.spansFrom(block.t0)) {
    if (span.from >= end) return;
    addSpan(block, line, span, runsOf(block, span, shape, contribution));
  }
}

function runsOf(
  block: SampleBlock,
  span: SetupSpan,
  shape: PulseShape,
  contribution: ChannelPart,
): Runs {
  switch (span.setup.kind) {
    case 'pulse-density':
      return new DensityRuns(block, span, shape, contribution.on);
    case 'pwm':
      return new PulseWidthRuns(block, span, shape, contribution.on);
    case 'analogue':
      return new LevelRuns(block, span, contribution);
  }
}

function addSpan(
  { samples, t0, dt }: SampleBlock,
  line: DriveLine,
  span: SetupSpan,
  runs: Runs,
): void {
  const start = positionOf(span, t0);
  const end = endPosition(span);
  const stop = Math.min(end, start + samples.length * (dt * span.pace));
  const last = line.endRun(span);
  for (let run = line.runAt(span, start); run < last; run++) {
    const begin = line.position(run);
    if (begin >= stop) return;
    const value = line.value(run);
    if (value === 0) continue;
    runs.zero = start - begin;
    runs.length = (run + 1 < last ? Math.min(end, line.position(run + 1)) : end) - begin;
    runs.add(value, line.phase(run));
  }
}

/** Runs of an analogue level. Positions are seconds. */
class LevelRuns extends Runs {
  private readonly full: number;
  private readonly contribution: ChannelPart;

  constructor(block: SampleBlock, { pace, full }: SetupSpan, contribution: ChannelPart) {
    super(block.samples, block.dt * pace);
    this.full = full;
    this.contribution = contribution;
  }

  add(value: number): void {
    const { samples, zero, perSample, length } = this;
    const level = this.contribution.analogue(value / this.full);
    const first = Math.max(0, Math.floor(-zero / perSample));
    const last = Math.min(samples.length, Math.ceil((length - zero) / perSample));
    for (let k = first; k < last; k++) {
      const from = Math.max(0, zero + k * perSample);
      const to = Math.min(length, zero + (k + 1) * perSample);
      if (to > from) this.addTo(k, (level * (to - from)) / perSample);
    }
  }
}
