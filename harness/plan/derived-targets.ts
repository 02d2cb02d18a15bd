import type { Lamp, LampChannel, Stage } from '../bench/lamp.ts';
import {
  type FixedOffTimeDesign,
  fixedOffTime,
} from '../measure/features/current/fixed-off-time.ts';
import type { Dimension } from '../units/unit.ts';

/** A figure that follows from the lamp file: what a criterion's `target` may name instead of a number. */
interface DerivedTarget {
  readonly dimension: Dimension;
  /** SI; or, in one sentence, why the figure does not follow. */
  of(channel: LampChannel, lamp: Lamp, name: string): number | string;
}

type Design = Extract<FixedOffTimeDesign, { continuous: true }>;

export const derivedTargets: Readonly<Record<string, DerivedTarget>> = {
  'stage.ripple': ofDesign('current', ({ ripple }) => ripple),
  'stage.mean-current': ofDesign('current', ({ meanCurrent }) => meanCurrent),
  'stage.switching-frequency': ofDesign('frequency', ({ frequency }) => frequency),
  'stage.off-time': ofDesign('time', (_, { offTime }) => offTime),
  'channel.max-current': { dimension: 'current', of: ({ maxCurrent }) => maxCurrent },
};

/** The figure of a channel, SI, or of the first one where `of` is none; or why there is none. */
export function derivedTarget(name: string, lamp: Lamp, of: string): number | string {
  const channel = lamp.channels.find((candidate) => candidate.channel === of) ?? lamp.channels[0];
  if (!channel) return 'the lamp file names no channel';
  return derivedTargets[name]?.of(channel, lamp, name) ?? `the lamp file has no figure ${name}`;
}

type FixedOffTimeStage = Extract<Stage, { kind: 'fixed-off-time' }>;

/** A figure of the output stage as designed. */
function ofDesign(
  dimension: Dimension,
  figure: (design: Design, stage: FixedOffTimeStage) => number,
): DerivedTarget {
  return {
    dimension,
    of({ channel, forwardVoltage, maxCurrent }, { stage }, name) {
      if (stage.kind !== 'fixed-off-time')
        return `${name} follows from a fixed-off-time stage, but the lamp file states a ${stage.kind} one`;
      const { supplyVoltage, inductance, offTime, diodeDrop } = stage;
      // The lamp file states the mean while on; the comparator's threshold lies half a ripple above it.
      const ripple = ((forwardVoltage + diodeDrop) * offTime) / inductance;
      const design = fixedOffTime({
        supplyVoltage,
        ledVoltage: forwardVoltage,
        inductance,
        offTime,
        diodeDrop,
        peakCurrent: maxCurrent + ripple / 2,
      });
      if (!design.continuous) return `the stage of ${channel} is not in continuous conduction`;
      return figure(design, stage);
    },
  };
}
