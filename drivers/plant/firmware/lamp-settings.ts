import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { LampHardware, ModulatorSetup } from './firmware.ts';

/** The modulator that the lamp file names, for one channel. */
export function modulatorSetup(lamp: Lamp, channel: number): ModulatorSetup {
  const { modulation } = lamp;
  if (modulation.kind !== 'pwm') return modulation;
  const { bits, frequency, phaseShift } = modulation;
  return { kind: 'pwm', bits, frequency, phase: (phaseShift * channel) % 1 };
}

/** What a channel's output is set up as, and the part of a period by which its gate driver shortens every pulse. */
export interface OutputSetup {
  readonly bits: number;
  readonly lostDuty: number;
}

export function outputSetup({ modulation, stage }: Lamp): OutputSetup {
  const { deadTime = 0 } = stage;
  const lostDuty = modulation.kind === 'pwm' ? deadTime * modulation.frequency : 0;
  return { bits: modulation.bits, lostDuty };
}

/**
 * Sets the output stage so that the mean current while on is the lamp file's. Peak-current control with fixed
 * off-time needs threshold = I + dI / 2 - (Vin - Vled) td / L with dI = (Vled + Vdiode) toff / L.
 */
export function setUpStage(lamp: Lamp, hardware: LampHardware): void {
  const { stage } = lamp;
  lamp.channels.forEach(({ maxCurrent, forwardVoltage }, channel) => {
    if (stage.kind === 'linear') {
      hardware.setPeakCurrent(channel, maxCurrent);
      return;
    }
    const ripple = ((forwardVoltage + stage.diodeDrop) * stage.offTime) / stage.inductance;
    const overrun =
      ((stage.supplyVoltage - forwardVoltage) * stage.comparatorDelay) / stage.inductance;
    hardware.setOffTime(channel, stage.offTime);
    hardware.setPeakCurrent(channel, maxCurrent + ripple / 2 - overrun);
  });
}
