import type { Server } from 'node:http';
import type { ConsoleLink, Lamp, LampLinks } from '../../../harness/bench/lamp.ts';
import type { Rig, RigInstrument } from '../../../harness/bench/rig.ts';
import { signals } from '../../../harness/measure/signals.ts';
import { defaultBridgeLines } from '../../dali/bridge-lines.ts';
import type { FirmwareImage } from '../firmware/firmware-image.ts';
import { PlantColourSensor } from '../instruments/plant-colour-sensor.ts';
import { PlantDigitiser } from '../instruments/plant-digitiser.ts';
import { PlantSpectrometer } from '../instruments/plant-spectrometer.ts';
import { DaliBridge } from '../links/dali-bridge.ts';
import { DaliBus } from '../links/dali-bus.ts';
import { secondGear } from '../links/second-gear.ts';
import { type PlantSettings, usualColourSensor, usualSpectrometer } from '../plant-driver.ts';
import { ChamberAir } from './chamber-air.ts';
import { ChamberModel } from './chamber-model.ts';
import { ColourSensorModel } from './colour-sensor-model.ts';
import { ConsoleServer } from './console-server.ts';
import { DaliBridgeServer } from './dali-bridge-server.ts';
import { DigitiserModel } from './digitiser-model.ts';
import { DmxTerminal } from './dmx-terminal.ts';
import { LampConsole } from './lamp-console.ts';
import { lampPage } from './lamp-page.ts';
import { LivePlant } from './live-plant.ts';
import { listenOnLoopback, loopback } from './loopback.ts';
import { NetworkInterface } from './network-interface.ts';
import { PseudoTerminal } from './pseudo-terminal.ts';
import { ScpiInstrument, type ScpiModel } from './scpi/scpi-instrument.ts';
import { ScpiServer } from './scpi/scpi-server.ts';
import { SpectrometerModel } from './spectrometer-model.ts';
import { SupplyModel } from './supply-model.ts';
import { SwitchModel } from './switch-model.ts';
import { ThermometerModel } from './thermometer-model.ts';
import { type Trouble, Troubles } from './trouble.ts';

const bridgeIdentity = 'Evenfall, emulated DALI bridge, EM-0004, 1';

export interface EmulationOptions {
  readonly lamp: Lamp;
  /** The rig file that a runner will use: its wiring says what each input sees. */
  readonly rig: Rig;
  /** First of ten TCP ports, in the order of README.md; 0 lets the system choose each. */
  readonly portBase: number;
  /** UDP port; 0 lets the system choose. */
  readonly sacnPort: number;
  readonly seed: number;
  readonly faults: readonly { readonly fault: string; readonly size: number }[];
  readonly firmware?: FirmwareImage | undefined;
  readonly speed: number;
  readonly factoryFresh: boolean;
  /** Time constant of the air in the chamber, s; 20 s where nothing is said. */
  readonly chamberTime?: number;
  readonly troubles: readonly Trouble[];
  /** Something that the person in front of it should know. */
  say(text: string): void;
}

interface Endpoint {
  /** Instrument in the rig file. */
  readonly name: string;
  /** `tcp 127.0.0.1:15025`, `/dev/pts/3`, `http://127.0.0.1:15029/`. */
  readonly address: string;
  /** 0 for a path. */
  readonly port: number;
  readonly about: string;
}

/** The simulated lamp and its instruments behind real transports. */
export interface Emulation {
  readonly endpoints: readonly Endpoint[];
  readonly troubles: Troubles;
  readonly live: LivePlant;
  /** Pulls the plug of the console's terminal. */
  unplug(): void;
  close(): Promise<void>;
}

/** What the emulated bench calls its instruments: the rig file's names, by what they are wired to. */
export interface EmulatedNames {
  readonly digitiser: string;
  readonly supply: string;
  readonly colourSensor: string;
  readonly spectrometer: string;
  readonly chamber: string;
  readonly probe: string;
  readonly switch: string;
  readonly console: string;
  readonly dali: string;
  readonly dmx: string;
  readonly sacn: string;
}

export function emulatedNames(rig: Rig): EmulatedNames {
  const wired = (kind: 'waveform' | 'colour'): string | undefined =>
    rig.wiring.find(
      ({ signal, instrument }) => signals[signal].kind === kind && instrument !== spectrometer,
    )?.instrument;
  return {
    digitiser: wired('waveform') ?? 'digitiser',
    supply: rig.supply?.instrument ?? 'supply',
    colourSensor: wired('colour') ?? 'colour-sensor',
    spectrometer,
    chamber: rig.chamber?.instrument ?? 'chamber',
    probe: rig.chamber?.probe ?? 'probe',
    switch: rig.switch?.instrument ?? 'switch',
    console: rig.links['console'] ?? 'console',
    dali: rig.links['dali'] ?? 'dali',
    dmx: rig.links['dmx'] ?? 'dmx',
    sacn: rig.links['sacn'] ?? 'sacn',
  };
}

/** Opens every endpoint; resolves when all of them listen, rejects (with all closed again) when one cannot. */
export async function openEmulation(options: EmulationOptions): Promise<Emulation> {
  const bench = new EmulatedBench(options);
  try {
    await bench.open();
  } catch (error) {
    await bench.close();
    throw error;
  }
  return bench;
}

class EmulatedBench implements Emulation {
  readonly endpoints: Endpoint[] = [];
  readonly troubles: Troubles;
  readonly live: LivePlant;
  readonly #options: EmulationOptions;
  readonly #names: EmulatedNames;
  readonly #closers: (() => Promise<void> | void)[];
  #terminal: PseudoTerminal | null = null;

  constructor(options: EmulationOptions) {
    this.#options = options;
    this.#names = emulatedNames(options.rig);
    this.troubles = new Troubles(options.troubles);
    this.live = openLive(options);
    this.#closers = [() => this.live.close()];
  }

  async open(): Promise<void> {
    const { console, dali, dmx, sacn } = this.#options.lamp.links;
    await this.#openInstruments();
    if (console) await this.#openConsole(console);
    if (dali) await this.#openDali();
    if (dmx && this.#options.rig.links['dmx']) this.#openDmx(dmx);
    if (sacn) await this.#openSacn(sacn);
  }

  unplug(): void {
    this.#terminal?.close();
  }

  async close(): Promise<void> {
    for (const closer of this.#closers.splice(0).reverse()) await closer();
  }

  async #openInstruments(): Promise<void> {
    const models = scpiModels(this.#options, this.#names, this.live, this.troubles);
    for (const [offset, model] of models.entries()) await this.#openScpi(model, offset);
    const { rig } = this.#options;
    if (rig.chamber) await this.#openScpi(chamberModel(this.#options, this.#names, this), 6);
    if (rig.switch) await this.#openScpi(switchModel(this.#options, this.#names, this), 7);
    if (rig.chamber?.probe) await this.#openScpi(probeModel(rig, rig.chamber.probe, this), 9);
    if (hasSpectrometer(rig)) await this.#openScpi(spectrometerModel(this.#options, this), 8);
  }

  async #openScpi({ name, model, about }: EmulatedScpi, offset: number): Promise<void> {
    const server = new ScpiServer(name, new ScpiInstrument(model), this.troubles);
    this.#closers.push(() => model.close?.());
    this.#closers.push(() => server.close());
    this.#addTcp(name, await server.listen(this.#port(offset)), `${about}, SCPI`);
  }

  /** The lamp's console three ways: a TCP port, a pseudo-terminal, and the page that types into it. */
  async #openConsole(link: ConsoleLink): Promise<void> {
    const name = this.#names.console;
    const vanish = (): void => {
      this.unplug();
      void server.close();
    };
    const console = new LampConsole(name, link, this.live, this.troubles, vanish);
    const server = new ConsoleServer(console);
    this.#closers.push(() => server.close());
    this.#addTcp(name, await server.listen(this.#port(3)), 'the lamp’s console');
    this.#openTerminal(console);
    await this.#openPage(console);
  }

  #openTerminal(console: LampConsole): void {
    const bench = this;
    const plug = console.plug({
      get destroyed() {
        return bench.#terminal?.destroyed ?? true;
      },
      write: (bytes) => bench.#terminal?.write(bytes) ?? false,
    });
    const terminal = new PseudoTerminal(plug);
    this.#terminal = terminal;
    this.#closers.push(() => terminal.close());
    const about = 'the lamp’s console, a serial port';
    this.endpoints.push({ name: this.#names.console, address: terminal.path, port: 0, about });
  }

  async #openPage(console: LampConsole): Promise<void> {
    const page = lampPage(this.#options.lamp, console) as Server;
    this.#closers.push(() => closeServer(page));
    const port = await listenOnLoopback(page, this.#port(4));
    const address = `http://${loopback}:${port}/`;
    this.endpoints.push({ name: 'webpage', address, port, about: 'the lamp’s own page' });
  }

  async #openDali(): Promise<void> {
    const name = this.#names.dali;
    const bus = new DaliBus(this.live.side, this.live.model.links);
    const bridge = new DaliBridge(bus, defaultBridgeLines, bridgeIdentity);
    const server = new DaliBridgeServer(name, bridge, this.live, this.troubles);
    const { lamp, seed } = this.#options;
    const twin = secondGear(lamp, seed + 1);
    bus.join((frame, at) => {
      const answer = twin(frame, at);
      return server.twin ? answer : null;
    });
    this.#closers.push(() => server.close());
    this.#addTcp(name, await server.listen(this.#port(5)), 'a bridge to the lamp’s DALI bus');
  }

  #openDmx(dmx: NonNullable<LampLinks['dmx']>): void {
    let terminal: PseudoTerminal | null = null;
    const line = new DmxTerminal(this.#names.dmx, dmx, this, {
      get destroyed() {
        return terminal?.destroyed ?? true;
      },
      write: (bytes) => terminal?.write(bytes) ?? false,
    });
    const opened = new PseudoTerminal((bytes) => line.take(bytes));
    terminal = opened;
    this.#closers.push(() => opened.close());
    const about = 'the lamp’s DMX512 line, a serial port (break: baud-rate)';
    this.endpoints.push({ name: this.#names.dmx, address: opened.path, port: 0, about });
  }

  async #openSacn(link: NonNullable<LampLinks['sacn']>): Promise<void> {
    const socket = new NetworkInterface(this.#names.sacn, link, this.live, this.troubles);
    this.#closers.push(() => socket.close());
    const port = await socket.listen(this.#options.sacnPort);
    const about = `ANSI E1.31, universe ${link.universe}`;
    this.endpoints.push({ name: 'sacn', address: `udp ${loopback}:${port}`, port, about });
  }

  #port(offset: number): number {
    const { portBase } = this.#options;
    return portBase === 0 ? 0 : portBase + offset;
  }

  #addTcp(name: string, port: number, about: string): void {
    this.endpoints.push({ name, address: `tcp ${loopback}:${port}`, port, about });
  }
}

function openLive(options: EmulationOptions): LivePlant {
  const { lamp, rig, seed, faults, firmware, speed, factoryFresh, say } = options;
  const live = new LivePlant({
    lamp,
    rig,
    seed,
    lampSeed: seed,
    faults,
    firmware,
    speed,
    factoryFresh,
    brokeDown: (error) => say(`${error.message}; the lamp stays dark until its power is switched`),
  });
  if (!rig.supply) {
    void live.setSource(lamp.supply.nominal);
    void live.setPower(true);
  }
  // A relay without power is open.
  if (rig.switch) void live.setContact(false);
  return live;
}

/** What a rig file calls its emulated spectrometer. */
const spectrometer = 'spectrometer';

function hasSpectrometer({ instruments }: Rig): boolean {
  return instruments.some(({ name }) => name === spectrometer);
}

function spectrometerModel(
  { rig, seed }: EmulationOptions,
  { live, troubles }: Inside,
): EmulatedScpi {
  const instrument = simulated(rig, spectrometer, usualSpectrometer);
  const parts = { plant: live, clock: live.clock, rig, seed, lampSeed: seed, instrument };
  const identity = identityOf(rig, spectrometer, 'Tarn,S4,EM-0007,1.0');
  const own = new PlantSpectrometer(parts);
  const model = new SpectrometerModel(spectrometer, own, live, troubles, identity);
  return { name: spectrometer, model, about: 'spectrometer' };
}

interface EmulatedScpi {
  readonly name: string;
  readonly model: ScpiModel;
  readonly about: string;
}

type Inside = Pick<Emulation, 'live' | 'troubles'>;

const usualChamberTime = 20;

function chamberModel(
  { rig, chamberTime = usualChamberTime }: EmulationOptions,
  { chamber: name }: EmulatedNames,
  { live, troubles }: Inside,
): EmulatedScpi {
  const air = new ChamberAir(live, rig.ambient, chamberTime);
  const identity = identityOf(rig, name, 'Tarn,T80,EM-0005,1.0');
  const model = new ChamberModel(name, air, rig.chamber, troubles, identity);
  return { name, model, about: 'temperature chamber' };
}

function probeModel(rig: Rig, name: string, { live }: Inside): EmulatedScpi {
  const model = new ThermometerModel(live, identityOf(rig, name, 'Tarn,T1,EM-0008,1.0'));
  return { name, model, about: 'thermometer beside the lamp' };
}

function switchModel(
  { rig }: EmulationOptions,
  { switch: name }: EmulatedNames,
  { live, troubles }: Inside,
): EmulatedScpi {
  const identity = identityOf(rig, name, 'Tarn,R1,EM-0006,1.0');
  const model = new SwitchModel(name, live, troubles, identity);
  return { name, model, about: "relay in the lamp's supply" };
}

function scpiModels(
  { lamp, rig, seed }: EmulationOptions,
  names: EmulatedNames,
  live: LivePlant,
  troubles: Troubles,
): EmulatedScpi[] {
  const common = { plant: live, clock: live.clock, rig, seed, lampSeed: seed };
  const identity = (name: string, standard: string): string => identityOf(rig, name, standard);
  const { digitiser, supply, colourSensor } = names;
  return [
    {
      name: digitiser,
      about: 'digitiser',
      model: new DigitiserModel(
        new PlantDigitiser({
          ...common,
          instrument: simulated(rig, digitiser, { kind: 'digitiser' }),
        }),
        live,
        troubles,
        identity(digitiser, 'Tarn,D16,EM-0001,1.0'),
      ),
    },
    {
      name: supply,
      about: `supply of ${lamp.supply.nominal} V`,
      model: new SupplyModel(
        supply,
        live,
        rig.supply,
        troubles,
        identity(supply, 'Tarn,P60,EM-0002,1.0'),
      ),
    },
    {
      name: colourSensor,
      about: 'colour sensor',
      model: new ColourSensorModel(
        colourSensor,
        new PlantColourSensor({
          ...common,
          instrument: simulated(rig, colourSensor, usualColourSensor),
        }),
        live,
        troubles,
        identity(colourSensor, 'Tarn,C3,EM-0003,1.0'),
      ),
    },
  ];
}

/** The instrument of the rig file as a simulated one with these settings: those of its real driver are none of its business. */
function simulated<Settings extends PlantSettings>(
  rig: Rig,
  name: string,
  settings: Settings,
): RigInstrument<Settings> {
  const own = rig.instruments.find((instrument) => instrument.name === name);
  const base = { name, identity: {}, deadline: 5, retries: 0 };
  return { ...base, ...own, driver: 'plant', limits: { highestRate: 1e6, memory: 50e6 }, settings };
}

/** Who the rig file expects, so that a rig that checks identities is content. */
function identityOf(rig: Rig, name: string, standard: string): string {
  const expected = rig.instruments.find((instrument) => instrument.name === name)?.identity ?? {};
  const [maker, model, serial, firmware] = standard.split(',');
  return [
    expected.maker ?? maker,
    expected.model ?? model,
    expected.serial ?? serial,
    expected.firmware ?? firmware,
  ].join(',');
}

function closeServer(server: Server): Promise<void> {
  server.closeAllConnections();
  return new Promise((resolve) => server.close(() => resolve()));
}
