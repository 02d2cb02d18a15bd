import { EpochWalk } from '../epoch.ts';
import { type DriveLine, instantOf, positionOf, type SetupSpan } from '../modulator/drive-line.ts';
import { gatePulses } from '../modulator/gate-pulses.ts';
import type { Output } from '../output.ts';
import type { Plant } from '../plant.ts';
import { endOf, type SampleBlock } from '../sample-block.ts';
import { multiplyByRipple } from '../stage/current-ripple.ts';
import type { GatedPart, GatedSource } from './gated-source.ts';
import { PulseShaper } from './pulse-shaper.ts';
import { RampSampler } from './ramp-sampler.ts';
import type { SignalSource } from './signal-source.ts';

/** A part of the record within one epoch, s. */
interface Stretch {
  readonly from: number;
  readonly to: number;
}

/**
 * The same signals edge by edge: every gate pulse with its ramps and, where a sample is short against the switching
 * period, every switching cycle; the sensor's pole is applied exactly between the edges. For fast records, and for
 * converters that look at an instant instead of a mean. Cost: per edge.
 */
export class EdgeSource implements SignalSource {
  private readonly plant: Plant;
  private readonly mixed: GatedSource;
  private readonly options: { readonly bandwidth: number; readonly point: boolean };
  /** The state of the sensor's pole goes on from block to block, for each output by itself. */
  private readonly outputs: { readonly output: Output; pole: number }[];

  constructor(
    plant: Plant,
    mixed: GatedSource,
    options: { readonly bandwidth: number; readonly point: boolean },
  ) {
    this.plant = plant;
    this.mixed = mixed;
    this.options = options;
    this.outputs = plant.simulation.outputs.map((output) => ({ output, pole: 0 }));
  }

  fill(block: SampleBlock): void {
    block.samples.fill(0);
    for (const one of this.outputs) {
      const sampler = new RampSampler(block, this.options, one.pole);
      this.addOutput(sampler, block, one.output);
      sampler.finish();
      one.pole = sampler.pole;
    }
    this.addConstant(block);
    multiplyByRipple(block, this.plant.model, this.options.point);
  }

  private addOutput(sampler: RampSampler, block: SampleBlock, output: Output): void {
    const walk = new EpochWalk(this.plant.simulation.state, block.t0);
    const end = endOf(block);
    for (let from = block.t0; from < end; walk.advance()) {
      const to = Math.min(end, walk.end);
      if (to <= from) continue;
      const { parts } = this.mixed.mixture(walk.present);
      const part = parts.find(({ state }) => state.output === output);
      this.addStretch(sampler, part, { from, to });
      from = to;
    }
  }

  private addConstant({ samples, t0, dt }: SampleBlock): void {
    const walk = new EpochWalk(this.plant.simulation.state, t0);
    for (let k = 0; k < samples.length; k++)
      samples[k] = (samples[k] ?? 0) + this.mixed.mixture(walk.at(t0 + k * dt)).constant;
  }

  private addStretch(sampler: RampSampler, part: GatedPart | undefined, stretch: Stretch): void {
    const line = part?.state.output.line;
    const [span] = line?.spansFrom(stretch.from) ?? [];
    if (!part || !line || !span) sampler.ramp(stretch.to, 0, 0);
    else if (span.setup.kind === 'analogue') addLevels(sampler, part, span, stretch);
    else this.addPulses(sampler, part, line, stretch);
  }

  private addPulses(
    sampler: RampSampler,
    { state, contribution }: GatedPart,
    line: DriveLine,
    { from, to }: Stretch,
  ): void {
    const { cycle, current } = state;
    const fast = cycle && Number.isFinite(cycle.period) && sampler.dt < cycle.period;
    const seen = { full: contribution.on, cycle: fast ? cycle : null, mean: current };
    const shaper = new PulseShaper(sampler, this.plant.model.stage, seen);
    for (const { on, off } of gatePulses(line, from - shaper.reach, to)) {
      if (off > from - shaper.reach) shaper.pulse(on, off);
    }
    shaper.rest(to);
  }
}

function addLevels(
  sampler: RampSampler,
  { state, contribution }: GatedPart,
  span: SetupSpan,
  { from, to }: Stretch,
): void {
  const { line } = state.output;
  const last = line.endRun(span);
  for (let run = line.runAt(span, positionOf(span, from)); run < last; run++) {
    if (instantOf(span, line.position(run)) >= to) return;
    const next = run + 1 < last ? instantOf(span, line.position(run + 1)) : to;
    const end = Math.min(to, next);
    const value = contribution.analogue(line.value(run) / span.full);
    if (end > sampler.at) sampler.ramp(end, value, value);
  }
}
