import { analogueDimming } from './analogue-dimming.ts';
import { brownOut } from './brown-out.ts';
import { converterBeat } from './converter-beat.ts';
import { crosstalk } from './crosstalk.ts';
import { currentLoopHunts } from './current-loop-hunts.ts';
import { driveNoise } from './drive-noise.ts';
import type { Fault } from './fault.ts';
import { harmonicCurrent } from './harmonic-current.ts';
import { highForwardVoltage } from './high-forward-voltage.ts';
import { hotBoard } from './hot-board.ts';
import { idleTone } from './idle-tone.ts';
import { leakage } from './leakage.ts';
import { leakyChannel } from './leaky-channel.ts';
import { lowCurrent } from './low-current.ts';
import { mainsBreakthrough } from './mains-breakthrough.ts';
import { phaseAligned } from './phase-aligned.ts';
import { poorPowerFactor } from './poor-power-factor.ts';
import { poorRegulation } from './poor-regulation.ts';
import { rippleCurrent } from './ripple-current.ts';
import { shortPulsesLost } from './short-pulses-lost.ts';
import { slowComparator } from './slow-comparator.ts';
import { slowEdges } from './slow-edges.ts';
import { slowPwm } from './slow-pwm.ts';
import { stuckBit } from './stuck-bit.ts';
import { supplySag } from './supply-sag.ts';
import { swappedChannels } from './swapped-channels.ts';
import { thermalColourDrift } from './thermal-colour-drift.ts';
import { turnOnOvershoot } from './turn-on-overshoot.ts';
import { weakChannel } from './weak-channel.ts';
import { wrongBin } from './wrong-bin.ts';
import { wrongOffTime } from './wrong-off-time.ts';

/** Defects of modulator, stage, emitters and supply; those of firmware and links stand beside them in faults.ts. */
export const hardwareFaults: readonly Fault[] = [
  slowPwm,
  phaseAligned,
  stuckBit,
  idleTone,
  converterBeat,
  mainsBreakthrough,
  shortPulsesLost,
  slowEdges,
  turnOnOvershoot,
  currentLoopHunts,
  leakage,
  leakyChannel,
  lowCurrent,
  weakChannel,
  wrongBin,
  swappedChannels,
  analogueDimming,
  crosstalk,
  rippleCurrent,
  wrongOffTime,
  slowComparator,
  poorRegulation,
  supplySag,
  brownOut,
  highForwardVoltage,
  hotBoard,
  thermalColourDrift,
  driveNoise,
  poorPowerFactor,
  harmonicCurrent,
];
