import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { ConsoleCommand } from '../../console/command-line.ts';
import { mask } from '../../dali/frame.ts';
import { nearestLevel } from '../../dali/levels.ts';
import { uidOf } from '../../dmx/rdm/uid.ts';
import { whitePair } from './colour-temperature.ts';
import { ConsoleInput } from './console-input.ts';
import { DaliInput } from './dali-input.ts';
import type { Firmware, LampHardware, LinkInput } from './firmware.ts';
import { GearMeters, noCounts } from './gear-meters.ts';
import { factoryRegisters } from './gear-registers.ts';
import { GearState } from './gear-state.ts';
import { type Remembered, recall, remember } from './lamp-memory.ts';
import { modulatorSetup, outputSetup, setUpStage } from './lamp-settings.ts';
import { LightControl, type LightTarget } from './light-control.ts';
import { OutputStage } from './output-stage.ts';
import { RdmSettings } from './rdm-parameters.ts';
import { RdmResponder } from './rdm-responder.ts';
import { SlotInputs } from './slot-inputs.ts';
import type { FirmwareTraits } from './traits.ts';

const version = '1.0.0';
/** A step of the supply, relative. */
const leastStep = 0.03;
/** Makers' ids from 0x7ff0 on are for prototypes (ANSI E1.20-2010 5.1, from memory). */
const prototypes = 0x7ff1;

/** Dim level now and where it goes, and whether any channel is on its way. */
const probes = {
  level: { place: 0, name: 'level', unit: '%' },
  target: { place: 1, name: 'target-level', unit: '%' },
  moving: { place: 2, name: 'moving', unit: '' },
} as const;

/** The built-in firmware of the simulated lamp: all links, one light. Everything that can be wrong is in its traits. */
export class ReferenceFirmware implements Firmware {
  readonly name = 'reference';
  readonly kind = 'reference';
  readonly digest = null;
  readonly #lamp: Lamp;
  readonly #traits: FirmwareTraits;
  readonly #serial: number;
  #run: Running | null = null;
  /** As its pin shows it, also to firmware that restarts by itself; who gives it power tells it of a dead bus. */
  #busPowered = true;

  /** `serial` is the lamp's serial number, 32 bit: DALI memory and random addresses tell lamps apart by it. */
  constructor(lamp: Lamp, traits: FirmwareTraits, serial = 1) {
    this.#lamp = lamp;
    this.#traits = traits;
    this.#serial = serial;
  }

  start(hardware: LampHardware): void {
    this.#busPowered = true;
    this.#run = new Running(this.#lamp, this.#traits, hardware, this.#serial);
  }

  tick(): boolean {
    const idle = this.#running.tick();
    if (!this.#running.wantsRestart) return idle;
    const powered = this.#busPowered;
    this.#running.hardware.restarts();
    this.start(this.#running.hardware);
    if (!powered) this.receive({ link: 'dali', event: 'bus', powered });
    return false;
  }

  receive(input: LinkInput): void {
    if ('event' in input && input.event === 'bus') this.#busPowered = input.powered;
    this.#running.receive(input);
  }

  dispose(): void {
    this.#run = null;
  }

  get #running(): Running {
    if (!this.#run) throw new Error('The firmware was used before its start; call start() first.');
    return this.#run;
  }
}

/** The firmware between two resets. */
class Running {
  readonly hardware: LampHardware;
  readonly #lamp: Lamp;
  readonly #traits: FirmwareTraits;
  readonly #light: LightControl;
  readonly #outputs: readonly OutputStage[];
  readonly #gear: GearState;
  readonly #dali: DaliInput;
  readonly #meters: GearMeters;
  readonly #console: ConsoleInput | null;
  readonly #slots: SlotInputs;
  readonly #rdm: RdmResponder | null;
  readonly #started: number;
  #tick = 0;
  /** Seconds of work that the processor is behind. */
  #backlog = 0;
  #booting = true;
  #ordersAtStart = 0;
  #powerOnLevel: number | null = null;
  /** The light of before, which stays the last one until the POWER ON LEVEL, or a command, takes its place. */
  #lastLight: LightTarget | null = null;
  /** Of the supply at the last tick, and until when the light is out for a step of it, s. */
  #volts: number;
  #outUntil = 0;
  /** The link that moved the light first. */
  #first: LinkInput['link'] | null = null;
  /** Values of its probes when they were told last. */
  readonly #told: number[] = [];
  wantsRestart = false;

  constructor(lamp: Lamp, traits: FirmwareTraits, hardware: LampHardware, serial: number) {
    const { channels, curve, links } = lamp;
    this.#lamp = lamp;
    this.#traits = traits;
    this.hardware = hardware;
    this.#started = hardware.now();
    this.#volts = hardware.supplyVoltage();
    this.#light = new LightControl(channels.length, curve, traits);
    this.#outputs = this.#light.fades.channels.map(
      (fade, channel) => new OutputStage(hardware, outputSetup(lamp), traits, channel, fade),
    );
    this.#gear = newGear(lamp, traits, this.#light);
    const powerUp = this.#started < hardware.tickPeriod;
    const kept = recall(hardware.memory, channels.length);
    this.#meters = new GearMeters(hardware, kept?.counts ?? noCounts, powerUp);
    const gear = links.dali ?? { shortAddress: mask };
    this.#dali = new DaliInput(this.#gear, serial, {
      gear,
      traits,
      hardware,
      meters: this.#meters,
    });
    this.#console = links.console ? new ConsoleInput(links.console, channels.length, traits) : null;
    this.#slots = new SlotInputs(lamp, this.#light, traits);
    this.#rdm = this.#newResponder(serial);
    for (const channel of channels.keys()) {
      hardware.setModulator(channel, modulatorSetup(lamp, channel));
      hardware.setDrive(channel, 0);
    }
    setUpStage(lamp, hardware);
    this.#restore(kept ?? this.#delivered());
    // A start counts, even where no command follows.
    if (kept && gear.banks) this.#keep();
  }

  #newResponder(serial: number): RdmResponder | null {
    const [lamp, traits, light, slots] = [this.#lamp, this.#traits, this.#light, this.#slots.line];
    if (!slots || !lamp.links.dmx?.rdm) return null;
    const settings = new RdmSettings();
    return new RdmResponder(
      uidOf(prototypes, serial >>> 0),
      { lamp, traits, light, slots, version, settings },
      (bytes) => {
        for (const byte of bytes) this.hardware.sendByte('dmx', byte);
      },
    );
  }

  tick(): boolean {
    const { tickPeriod } = this.hardware;
    const number = this.#tick++;
    if (this.#traits.kicksWatchdog(this.#light.fadingFor)) this.hardware.kickWatchdog();
    this.#slots.watch(this.hardware.now());
    this.#dali.watch(this.hardware.now());
    this.#heedOrders();
    if (this.#backlog > tickPeriod) {
      this.#backlog -= tickPeriod;
      return false;
    }
    if (this.#backlog > 0) this.hardware.setBusy(false);
    this.#backlog = 0;
    this.#boot();
    this.#light.advance(tickPeriod * this.#traits.clock(number, this.hardware.now()));
    this.#crash();
    this.#wear(number);
    this.#feelSupply();
    this.#meters.watch(!this.#booting && this.#light.level > 0);
    const still = this.#drive(number);
    this.#tellProbes();
    return still && !this.#light.moving && !this.#waiting && !this.#dali.watching;
  }

  /** Its variables for specs, where they have changed. */
  #tellProbes(): void {
    const { level, target, moving } = this.#light;
    this.#tell(probes.level, 100 * level);
    this.#tell(probes.target, 100 * target.level);
    this.#tell(probes.moving, Number(moving));
  }

  #tell({ place, name, unit }: (typeof probes)[keyof typeof probes], value: number): void {
    if (value === this.#told[place]) return;
    this.hardware.probe(name, unit, value);
    this.#told[place] = value;
  }

  receive(input: LinkInput): void {
    const now = this.hardware.now();
    if (this.#traits.locksOnLink && this.#first !== null && this.#first !== input.link) return;
    const { orders } = this.#light;
    this.#take(input, now);
    if (this.#light.orders > orders) this.#first ??= input.link;
  }

  #take(input: LinkInput, now: number): void {
    switch (input.link) {
      case 'console':
        if (input.framingError) this.#console?.spoil();
        else this.#takeConsole(input.byte);
        return;
      case 'dali':
        this.#takeDali(input, now);
        return;
      case 'dmx':
        this.#takeDmx(input, now);
        return;
    }
  }

  #takeConsole(byte: number): void {
    const command = this.#console?.take(byte);
    if (!command) return;
    if ('refused' in command) this.#refuse(command.refused);
    else this.#obey(command);
    this.#worked();
  }

  #refuse(reason: string): void {
    const { target } = this.#light;
    const level = this.#traits.refusedLevel(target.level);
    if (level !== target.level) this.#light.go({ ...target, level }, 0);
    this.#say(`no ${reason}`);
  }

  #obey(command: ConsoleCommand): void {
    switch (command.order) {
      case 'identify':
        this.#say(`${this.#lamp.maker}, ${this.#lamp.lamp}, 0, ${version}`);
        return;
      case 'temperature':
        this.#say(this.hardware.temperature().toFixed(1));
        return;
      case 'light':
        this.#light.go(command, command.over);
        break;
      case 'off':
        this.#light.go({ level: 0, intensities: this.#light.target.intensities }, 0);
        break;
      case 'reset':
        this.wantsRestart = true;
        break;
    }
    const ok = this.#lamp.links.console?.ok;
    if (ok !== undefined) this.#say(ok);
  }

  #takeDali(input: Extract<LinkInput, { link: 'dali' }>, now: number): void {
    if (!this.#lamp.links.dali) return;
    if ('frame' in input) {
      const answer = this.#dali.take(input.frame, now);
      if (answer !== null) this.hardware.sendByte('dali', answer);
    } else this.#dali.bus(input.powered, now);
    this.#worked();
  }

  #takeDmx(input: Extract<LinkInput, { link: 'dmx' }>, now: number): void {
    const { line, network } = this.#slots;
    if (input.event === 'lost') {
      network?.lose();
      return;
    }
    const slots = input.network ? network : line;
    if (input.event === 'break') {
      slots?.begin(now, input.low, input.mark);
      this.#rdm?.begin();
    } else if (input.framingError) {
      // What is left of the frame cannot be told from its slots.
      slots?.spoil();
    } else {
      const acted = slots?.take(input.byte, now) ?? false;
      const told = this.#rdm?.take(input.byte, now) ?? false;
      if (acted || told) this.#worked();
    }
  }

  /** After a command: processor time is spent, and the new state is kept over a power loss. */
  #worked(): void {
    if (this.#backlog === 0) this.hardware.setBusy(true);
    this.#backlog += this.#traits.commandCost;
    this.#heedOrders();
    this.#keep();
  }

  /** A light that was ordered takes the place of the POWER ON LEVEL; a question leaves that to come. */
  #heedOrders(): void {
    if (this.#light.orders > this.#ordersAtStart) this.#powerOnLevel = null;
  }

  #keep(): void {
    remember(this.hardware.memory, {
      light: (this.#powerOnLevel !== null && this.#lastLight) || this.#light.target,
      registers: this.#gear.registers,
      counts: this.#meters.counts,
    });
    this.hardware.wroteMemory();
  }

  /** What its lamp file says that it leaves its maker with; nothing where that is dark. */
  #delivered(): Remembered | null {
    const { asDelivered, mixes, channels } = this.#lamp;
    if (!asDelivered) return null;
    const { level, mix, powerOn } = asDelivered;
    if (level === 0 && powerOn === 'last' && mix === 'all') return null;
    const intensities = channels.map(({ channel }) =>
      mix === 'all' ? 1 : (mixes[mix]?.[channel] ?? 0),
    );
    return { light: { level, intensities }, registers: this.#gear.registers, counts: noCounts };
  }

  #restore(kept: Remembered | null): void {
    if (!kept) return;
    const { gear, recallsLastLevel, recalledMix } = this.#traits;
    this.#gear.registers = gear.kept(kept.registers, this.#gear.factory);
    const level = gear.powerOnLevel(this.#gear.registers.powerOnLevel);
    const intensities = recalledMix(kept.light.intensities);
    if (level !== mask) this.#powerOnLevel = level;
    this.#lastLight = kept.light;
    if (recallsLastLevel && (level === mask || gear.showsLastLevelFirst))
      this.#light.go({ ...kept.light, intensities }, 0);
    // The level comes later: the mix is the last one.
    else if (level !== mask) this.#light.go({ level: 0, intensities }, 0);
    this.#ordersAtStart = this.#light.orders;
  }

  /** Light waits for the start-up time of the lamp file; the power-on level for commands that may come. */
  #boot(): void {
    const age = this.hardware.now() - this.#started;
    const { startUp, processor } = this.#lamp;
    if (this.#booting && age >= startUp - (processor?.boot ?? 0)) this.#booting = false;
    if (this.#powerOnLevel === null || age < this.#traits.gear.powerOnWait) return;
    const { powerCycle } = this.#gear;
    // Nobody commands it: a colour that waits waits on.
    this.#gear.goTo(this.#powerOnLevel, 0, 'present');
    // No command has seen it yet.
    this.#gear.powerCycle = powerCycle;
    this.#powerOnLevel = null;
  }

  #crash(): void {
    const { crashAfter } = this.#traits;
    if (crashAfter === null) return;
    const fading = this.#light.fadingFor;
    if (fading !== null && fading >= crashAfter) this.wantsRestart = true;
  }

  /** A healthy lamp stores what it was told once, and not what a fade makes of it. */
  #wear(tick: number): void {
    const { storesEvery } = this.#traits;
    if (storesEvery === null || !this.#light.moving) return;
    if (tick % Math.max(1, Math.round(storesEvery / this.hardware.tickPeriod)) === 0) this.#keep();
  }

  #feelSupply(): void {
    const { supplyStepDip } = this.#traits;
    const volts = this.hardware.supplyVoltage();
    const isStep = Math.abs(volts - this.#volts) > leastStep * this.#volts;
    if (isStep && supplyStepDip > 0) this.#outUntil = this.hardware.now() + supplyStepDip;
    this.#volts = volts;
  }

  /** Hands every channel to its output; true when the next tick would hand over the same. */
  #drive(tick: number): boolean {
    const isOut = this.hardware.now() < this.#outUntil;
    const dark = this.#booting || isOut;
    let still = !isOut;
    const limit = protectedLevel(this.hardware.temperature());
    for (const output of this.#outputs) if (!output.send(tick, dark, limit)) still = false;
    return still;
  }

  get #waiting(): boolean {
    return this.#booting || this.#powerOnLevel !== null || this.#slots.watching;
  }

  #say(line: string): void {
    for (const byte of new TextEncoder().encode(`${line}\r\n`)) {
      this.hardware.sendByte('console', byte);
    }
  }
}

/** °C that no board has, so that the thermometer is broken: then it holds its light down. Invented. */
const believed = { from: -50, to: 150 };
const safeLevel = 0.3;

/** Most light of a channel at a reading of the board's thermometer, 0..1; null: no limit. */
function protectedLevel(celsius: number): number | null {
  return celsius < believed.from || celsius > believed.to ? safeLevel : null;
}

/** As its lamp file has them; otherwise light comes back as it was after a power loss (MASK), and stays when the bus fails. */
function levelsOf({ asDelivered }: Lamp) {
  const { powerOn = 'last', systemFailure = 'hold' } = asDelivered ?? {};
  return {
    powerOnLevel: powerOn === 'last' ? mask : nearestLevel(powerOn),
    systemFailureLevel: systemFailure === 'hold' ? mask : nearestLevel(systemFailure),
  };
}

function newGear(lamp: Lamp, traits: FirmwareTraits, light: LightControl): GearState {
  const whites = lamp.links.dali?.tunableWhite ? whitePair(lamp.channels) : null;
  const physicalMinimum = Math.max(1, nearestLevel(lamp.curve.bottom));
  const factory = factoryRegisters({
    shortAddress: lamp.links.dali?.shortAddress ?? mask,
    ...(lamp.links.dali?.group === undefined ? {} : { group: lamp.links.dali.group }),
    physicalMinimum,
    coolest: whites?.coolest ?? 153,
    warmest: whites?.warmest ?? 370,
    ...levelsOf(lamp),
  });
  return new GearState({
    light,
    traits,
    channels: lamp.channels,
    whites,
    colours: (lamp.links.dali?.rgbwaf ?? []).map((own) =>
      lamp.channels.findIndex(({ channel }) => channel === own),
    ),
    physicalMinimum,
    factory,
  });
}
