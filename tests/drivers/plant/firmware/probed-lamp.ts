import type { FirmwareImage } from '../../../../drivers/plant/firmware/firmware-image.ts';
import { openFirmware } from '../../../../drivers/plant/firmware/open-firmware.ts';
import { healthyModel } from '../../../../drivers/plant/model.ts';
import { Simulation } from '../../../../drivers/plant/simulation.ts';
import type { Lamp } from '../../../../harness/bench/lamp.ts';

export interface ProbedLamp {
  readonly simulation: Simulation;
  /** Instant and value of every change of a probe. */
  told(name: string): readonly (readonly [at: number, value: number])[];
  values(name: string): readonly number[];
  /** A letter on the console. */
  say(at: number, letter: string): void;
}

/** A lamp with power whose firmware tells its probes. */
export function probedLamp(lamp: Lamp, image: FirmwareImage): ProbedLamp {
  const simulation = new Simulation(lamp, healthyModel(lamp, 1), openFirmware(image));
  const all: { name: string; at: number; value: number }[] = [];
  simulation.onProbed = (at, name, _, value) => all.push({ name, at, value });
  const told = (name: string) =>
    all.filter((own) => own.name === name).map(({ at, value }) => [at, value] as const);
  simulation.setSource(48);
  simulation.setPower(true);
  return {
    simulation,
    told,
    values: (name) => told(name).map(([, value]) => value),
    say: (at, letter) => simulation.deliver(at, { link: 'console', byte: letter.charCodeAt(0) }),
  };
}
