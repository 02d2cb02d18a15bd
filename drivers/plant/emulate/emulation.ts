import type { Server } from 'node:http';
import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { Rig, RigInstrument } from '../../../harness/bench/rig.ts';
import { signals } from '../../../harness/measure/signals.ts';
import { defaultBridgeLines } from '../../dali/bridge-lines.ts';
import type { FirmwareBuild } from '../firmware/open-firmware.ts';
import { PlantColourSensor } from '../instruments/plant-colour-sensor.ts';
import { PlantDigitiser } from '../instruments/plant-digitiser.ts';
import { DaliBridge } from '../links/dali-bridge.ts';
import { DaliBus } from '../links/dali-bus.ts';
import { type PlantSettings, usualColourSensor } from '../plant-driver.ts';
import { ColourSensorModel } from './colour-sensor-model.ts';
import { ConsoleServer } from './console-server.ts';
import { DaliBridgeServer } from './dali-bridge-server.ts';
import { DigitiserModel } from './digitiser-model.ts';
import { LampConsole } from './lamp-console.ts';
import { lampPage } from './lamp-page.ts';
import { LivePlant } from './live-plant.ts';
import { listenOnLoopback, loopback } from './loopback.ts';
import { NetworkInterface } from './network-interface.ts';
import { PseudoTerminal } from './pseudo-terminal.ts';
import { ScpiInstrument, type ScpiModel } from './scpi/scpi-instrument.ts';
import { ScpiServer } from './scpi/scpi-server.ts';
import { SupplyModel } from './supply-model.ts';
import { type Trouble, Troubles } from './trouble.ts';

const bridgeIdentity = 'Evenfall, emulated DALI bridge, EM-0004, 1';

export interface EmulationOptions {
  readonly lamp: Lamp;
  /** The rig file that a runner will use: its wiring says what each input sees. */
  readonly rig: Rig;
  /** First of six TCP ports, in the order of README.md; 0 lets the system choose each. */
  readonly portBase: number;
  /** UDP port; 0 lets the system choose. */
  readonly sacnPort: number;
  readonly seed: number;
  readonly faults: readonly { readonly fault: string; readonly size: number }[];
  readonly firmware?: FirmwareBuild | undefined;
  readonly speed: number;
  readonly factoryFresh: boolean;
  readonly troubles: readonly Trouble[];
  /** Something that the person in front of it should know. */
  say(text: string): void;
}

export interface Endpoint {
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
  readonly console: string;
  readonly dali: string;
  readonly sacn: string;
}

export function emulatedNames(rig: Rig): EmulatedNames {
  const wired = (kind: 'waveform' | 'colour'): string | undefined =>
    rig.wiring.find(({ signal }) => signals[signal].kind === kind)?.instrument;
  return {
    digitiser: wired('waveform') ?? 'digitiser',
    supply: rig.supply?.instrument ?? 'supply',
    colourSensor: wired('colour') ?? 'colour-sensor',
    console: rig.links['console'] ?? 'console',
    dali: rig.links['dali'] ?? 'dali',
    sacn: rig.links['sacn'] ?? 'sacn',
  };
}

/** Opens every endpoint; resolves when all of them listen, rejects (with all closed again) when one cannot. */
export async function openEmulation(options: EmulationOptions): Promise<Emulation> {
  const { portBase, sacnPort, lamp, rig } = options;
  const troubles = new Troubles(options.troubles);
  const names = emulatedNames(rig);
  const live = openLive(options);
  const closers: (() => Promise<void> | void)[] = [() => live.close()];
  const endpoints: Endpoint[] = [];
  const close = async (): Promise<void> => {
    for (const closer of closers.splice(0).reverse()) await closer();
  };
  const portAt = (offset: number): number => (portBase === 0 ? 0 : portBase + offset);
  const tcp = (name: string, port: number, about: string): void => {
    endpoints.push({ name, address: `tcp ${loopback}:${port}`, port, about });
  };
  let pty: PseudoTerminal | null = null;
  try {
    for (const [offset, { name, model, about }] of scpiModels(
      options,
      names,
      live,
      troubles,
    ).entries()) {
      const server = new ScpiServer(name, new ScpiInstrument(model), troubles);
      closers.push(() => server.close());
      tcp(name, await server.listen(portAt(offset)), `${about}, SCPI`);
    }
    if (lamp.links.console) {
      const vanish = (): void => {
        pty?.close();
        void server.close();
      };
      const console = new LampConsole(names.console, lamp.links.console, live, troubles, vanish);
      const server = new ConsoleServer(console);
      closers.push(() => server.close());
      tcp(names.console, await server.listen(portAt(3)), 'the lamp’s console');
      const plug = console.plug({
        get destroyed() {
          return pty?.destroyed ?? true;
        },
        write: (bytes) => pty?.write(bytes) ?? false,
      });
      pty = new PseudoTerminal(plug);
      closers.push(() => pty?.close());
      endpoints.push({
        name: names.console,
        address: pty.path,
        port: 0,
        about: 'the lamp’s console, a serial port',
      });
      const page = lampPage(lamp, console) as Server;
      closers.push(() => closeServer(page));
      const port = await listenOnLoopback(page, portAt(4));
      const address = `http://${loopback}:${port}/`;
      endpoints.push({ name: 'webpage', address, port, about: 'the lamp’s own page' });
    }
    if (lamp.links.dali) {
      const bus = new DaliBus(live.side, live.model.links);
      const bridge = new DaliBridge(bus, defaultBridgeLines, bridgeIdentity);
      const server = new DaliBridgeServer(names.dali, bridge, live, troubles);
      closers.push(() => server.close());
      tcp(names.dali, await server.listen(portAt(5)), 'a bridge to the lamp’s DALI bus');
    }
    if (lamp.links.sacn) {
      const socket = new NetworkInterface(names.sacn, lamp.links.sacn, live, troubles);
      closers.push(() => socket.close());
      const port = await socket.listen(sacnPort);
      const about = `ANSI E1.31, universe ${lamp.links.sacn.universe}`;
      endpoints.push({ name: 'sacn', address: `udp ${loopback}:${port}`, port, about });
    }
  } catch (error) {
    await close();
    throw error;
  }
  return { endpoints, troubles, live, unplug: () => pty?.close(), close };
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
  return live;
}

function scpiModels(
  { lamp, rig, seed }: EmulationOptions,
  names: EmulatedNames,
  live: LivePlant,
  troubles: Troubles,
): { readonly name: string; readonly model: ScpiModel; readonly about: string }[] {
  const common = { plant: live, clock: live.clock, rig, seed, lampSeed: seed };
  const identity = (name: string, standard: string): string => identityOf(rig, name, standard);
  const wires = rig.wiring.filter(({ instrument }) => instrument === names.digitiser);
  const { digitiser, supply, colourSensor } = names;
  return [
    {
      name: digitiser,
      about: 'digitiser',
      model: new DigitiserModel(
        digitiser,
        new PlantDigitiser({
          ...common,
          instrument: simulated(rig, digitiser, { kind: 'digitiser' }),
        }),
        wires,
        live,
        troubles,
        identity(digitiser, 'Tarn,D16,EM-0001,1.0'),
      ),
    },
    {
      name: supply,
      about: `supply of ${lamp.supply.nominal} V`,
      model: new SupplyModel(live, rig.supply, identity(supply, 'Tarn,P60,EM-0002,1.0')),
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
