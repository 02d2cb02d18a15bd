import { BenchError } from '../../harness/bench/errors.ts';
import type { Heard } from '../../harness/bench/heard.ts';
import type { Lamp } from '../../harness/bench/lamp.ts';
import type { Instrument, OpenBench } from '../../harness/bench/ports.ts';
import type { Rig, RigInstrument } from '../../harness/bench/rig.ts';
import { ProbeKeeper } from '../probe-keeper.ts';
import { connectInputs } from './analogue-inputs.ts';
import { VirtualClock } from './clock/virtual-clock.ts';
import { findFault } from './faults/faults.ts';
import { DriveKeeper } from './firmware/drive-keeper.ts';
import type { Firmware } from './firmware/firmware.ts';
import type { FirmwareImage } from './firmware/firmware-image.ts';
import { FirmwarePause, type PauseAt } from './firmware/firmware-pause.ts';
import { openFirmware } from './firmware/open-firmware.ts';
import { OverheardFirmware } from './firmware/overheard-firmware.ts';
import { ReferenceFirmware } from './firmware/reference.ts';
import { Transcript } from './firmware/transcript.ts';
import { InsidePlant } from './inside-plant.ts';
import { PlantCamera } from './instruments/plant-camera.ts';
import { PlantChamber } from './instruments/plant-chamber.ts';
import { PlantColourSensor } from './instruments/plant-colour-sensor.ts';
import { PlantDigitiser } from './instruments/plant-digitiser.ts';
import type { InstrumentParts } from './instruments/plant-instrument.ts';
import { PlantSpectrometer } from './instruments/plant-spectrometer.ts';
import { PlantSupply } from './instruments/plant-supply.ts';
import { PlantSwitch } from './instruments/plant-switch.ts';
import { PlantThermometer } from './instruments/plant-thermometer.ts';
import { LampLog } from './lamp-log.ts';
import type { LampSide } from './lamp-side.ts';
import { openSimulatedLink } from './links/lamp-links.ts';
import { LogKeeper } from './log-keeper.ts';
import { healthyModel, type PlantModel } from './model.ts';
import type { Plant } from './plant.ts';
import { isPlantRig, type PlantSettings, type SettingsOf } from './plant-driver.ts';
import { Simulation } from './simulation.ts';

export interface PlantBenchOptions {
  readonly lamp: Lamp;
  readonly rig: Rig;
  /** Of the condition: noise. */
  readonly seed: number;
  /** Of the run: component values of the lamp, calibration errors of the rig. */
  readonly lampSeed: number;
  readonly faults: readonly { readonly fault: string; readonly size: number }[];
  /** The firmware under test; the reference firmware when absent. */
  readonly firmware?: FirmwareImage | (() => Firmware) | undefined;
  /** Word 0 is 1 while firmware is being called, word 1 counts the calls: whoever watches can end one that spins. */
  readonly heartbeat?: SharedArrayBuffer | undefined;
  /** 256 bytes that the lamp keeps over a power cut; blank as from the factory when absent. */
  readonly memory?: Uint8Array<ArrayBuffer> | undefined;
  /** Keep what goes on inside the lamp, too. */
  readonly everything?: boolean | undefined;
  /** Stop a debugger before the first call of a user's firmware at or after this. */
  readonly pauseAt?: PauseAt | undefined;
  /** Who looks at the lamp from outside its rig. */
  readonly onlooker?: Onlooker | undefined;
}

/** Sees what an instrument cannot: the lamp's own lines, and everything that arrives at it. */
interface Onlooker {
  opened(plant: Plant): void;
  heard(event: Heard): void;
}

/**
 * A fresh simulated lamp with the rig's instruments on a virtual clock: the same options and the same calls give the
 * same bytes. Without a supply in the rig the lamp has power from instant 0.
 */
export async function openPlantBench(options: PlantBenchOptions): Promise<OpenBench> {
  const { lamp, rig, seed, lampSeed } = options;
  if (!isPlantRig(rig))
    throw new BenchError(
      'unsupported',
      'plant',
      `rig ${rig.rig} has real instruments; a simulated bench needs "driver: plant" for each of them`,
    );
  const model = plantModel(options);
  const now = (): number => simulation.now();
  const kept = options.everything ? keepersFor(lamp, now) : null;
  const pause = options.pauseAt === undefined ? null : new FirmwarePause(options.pauseAt, now);
  const own = firmwareOf(options, model, pause ?? undefined);
  const running = kept ? new OverheardFirmware(own, Object.values(kept)) : own;
  const simulation = new Simulation(lamp, model, running, options.memory);
  const clock = new VirtualClock(simulation);
  const plant = { lamp, model, simulation };
  connectInputs(plant);
  const log = new LampLog(simulation);
  const said = new LogKeeper();
  const probes = new ProbeKeeper();
  listenTo(simulation, said, probes);
  const heard = (event: Heard): void => {
    log.tell(event);
    options.onlooker?.heard(event);
  };
  const side = lampSide(simulation, clock, { firmware: running, heard });
  options.onlooker?.opened(plant);
  const open = (instrument: RigInstrument<PlantSettings>): Instrument =>
    openInstrument(instrument, { plant, clock, rig, seed, lampSeed }, side);
  const instruments = new Map(rig.instruments.map((entry) => [entry.name, open(entry)]));
  if (!rig.supply) {
    simulation.setSource(lamp.supply.nominal);
    simulation.setPower(!rig.switch);
  }
  const close = async (): Promise<void> => {
    for (const instrument of instruments.values()) await instrument.close();
    clock.end(new BenchError('closed', 'plant', 'the simulated bench was closed'));
    running.dispose();
  };
  const notes = notesOf(model, options);
  return {
    clock,
    instruments,
    notes,
    heard: () => log.until(clock.now()),
    firmwareLog: () => said.kept(),
    probes: () => probes.kept(),
    ...(pause && { began: (zero: number) => pause.began(zero) }),
    ...(kept && { inside: new InsidePlant(plant, rig, kept) }),
    close,
  };
}

function keepersFor({ channels }: Lamp, now: () => number) {
  const names = channels.map(({ channel }) => channel);
  return { drives: new DriveKeeper(names, now), transcript: new Transcript() };
}

/** What firmware says of itself is nothing that the lamp does. */
function listenTo(simulation: Simulation, log: LogKeeper, probes: ProbeKeeper): void {
  simulation.onLogged = (at, text) => log.log(at, text);
  simulation.onProbed = (at, name, unit, value) => {
    const problem = probes.tell(at, name, unit, value);
    if (problem !== null) log.log(at, new TextEncoder().encode(`(${problem})`));
  };
}

/** A build of the user's, a firmware made by the caller, or the reference firmware with its share of the faults. */
export function firmwareOf(
  { lamp, lampSeed, firmware, heartbeat }: PlantBenchOptions,
  model: PlantModel,
  pause?: FirmwarePause,
): Firmware {
  if (!firmware) return new ReferenceFirmware(lamp, model.firmware, lampSeed);
  return typeof firmware === 'function'
    ? firmware()
    : openFirmware(firmware, { heartbeat, debugStop: pause });
}

/** The model of a healthy lamp of this seed with the seeded faults in it. */
export function plantModel({ lamp, lampSeed, faults, rig }: PlantBenchOptions): PlantModel {
  const model = healthyModel(lamp, lampSeed);
  model.thermal.ambient = rig.ambient;
  for (const { fault, size } of faults) {
    const found = findFault(fault);
    if (!found) {
      throw new BenchError(
        'unsupported',
        'plant',
        `there is no seeded fault named ${fault}; evenfall challenge --list names them all`,
      );
    }
    found.apply(model, size, lamp);
  }
  return model;
}

function openInstrument(
  instrument: RigInstrument<PlantSettings>,
  common: Omit<InstrumentParts, 'instrument'>,
  side: LampSide,
): Instrument {
  const { settings } = instrument;
  switch (settings.kind) {
    case 'digitiser':
      return new PlantDigitiser({ ...common, instrument: { ...instrument, settings } });
    case 'colour-sensor':
      return new PlantColourSensor({ ...common, instrument: { ...instrument, settings } });
    case 'spectrometer':
      return new PlantSpectrometer({ ...common, instrument: { ...instrument, settings } });
    case 'supply':
      return new PlantSupply({ ...common, instrument: { ...instrument, settings } });
    case 'switch':
      return new PlantSwitch({ ...common, instrument: { ...instrument, settings } });
    case 'chamber':
      return new PlantChamber({ ...common, instrument: { ...instrument, settings } });
    case 'thermometer':
      return new PlantThermometer({ ...common, instrument: { ...instrument, settings } });
    case 'camera':
      return new PlantCamera({ ...common, instrument: { ...instrument, settings } });
    case 'lamp-link':
      return openLink({ ...instrument, settings }, common, side);
  }
}

/** The link that the rig file gives to this instrument, or the one that its settings name. */
function openLink(
  { name, settings }: RigInstrument<SettingsOf<'lamp-link'>>,
  { plant, rig }: Omit<InstrumentParts, 'instrument'>,
  side: LampSide,
): Instrument {
  const given = Object.entries(rig.links).find(([, carrier]) => carrier === name)?.[0];
  const link = settings.link ?? given;
  const { lamp, model } = plant;
  const opened = openSimulatedLink(link ?? '', { name, lamp, side, traits: model.links });
  if (opened) return opened;
  const has = Object.keys(lamp.links).join(', ') || 'none';
  throw new BenchError(
    'unsupported',
    name,
    `instrument ${name} carries link ${link ?? '(none named)'}, which lamp ${lamp.lamp} does not have (it has ${has}); change links in the rig file`,
  );
}

function lampSide(
  simulation: Simulation,
  clock: VirtualClock,
  {
    firmware: { takesDatagrams = false },
    heard,
  }: { readonly firmware: Firmware; readonly heard: (event: Heard) => void },
): LampSide {
  simulation.onHeard = heard;
  return {
    heard,
    clock,
    takesDatagrams,
    deliver: (at, input, last) => simulation.deliver(at, input, last),
    listen: (listener) => simulation.listen(listener),
    reset: (at) => simulation.reset(at),
    upSince: () => simulation.upSince(),
    slotLine: {
      freeAt: Number.NEGATIVE_INFINITY,
      framesUntil: Number.NEGATIVE_INFINITY,
      networkFrames: 0,
    },
  };
}

/** Component values worth storing with the run. */
function notesOf(
  { modulator, thermal, supply }: PlantModel,
  { lampSeed, faults }: PlantBenchOptions,
): Record<string, string | number> {
  return {
    'lamp seed': lampSeed,
    'oscillator, parts per million': (modulator.clockFactor - 1) * 1e6,
    'thermal resistance, K/W': thermal.resistance,
    'source resistance, ohm': supply.sourceResistance,
    ...(faults.length > 0
      ? { 'seeded faults': faults.map(({ fault, size }) => `${fault} ${size}`).join(', ') }
      : {}),
  };
}
