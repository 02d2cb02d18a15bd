import type {
  Chamber,
  Instrument,
  LampLink,
  OpenBench,
  PowerSwitch,
  Supply,
} from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import { awaitNoOutput } from '../power/safe-output.ts';
import { leakage } from '../power/switch-watch.ts';

export interface SafeOutcome {
  readonly confirmed: boolean;
  /** One clause per instrument: what was done, and what it answered. */
  readonly detail: string;
}

/** The lamp is asked to go dark before its power is taken, but a link that hangs does not keep the power on, ms. */
const headStart = 500;

/**
 * Brings the rig to its safe state: the lamp's light off through every link, then the supply's output off, each with its
 * own deadline, so that an instrument that hangs cannot keep the next one from being switched off. Never rejects.
 * A chamber stops conditioning, unless the run goes on (`keepAir`): a soak takes hours. `confirmed` only when the supply reads back as off
 * and without voltage, or, where the supply is left on, when the lamp itself confirmed.
 */
export async function makeSafe(
  bench: Pick<OpenBench, 'instruments'>,
  rig: Rig,
  { keepAir = false }: { readonly keepAir?: boolean } = {},
): Promise<SafeOutcome> {
  const instruments = [...bench.instruments.values()];
  const enough = new AbortController();
  const links = instruments.filter(isLink);
  const dark = Promise.all(links.map((link) => lampOff(link, rig, enough.signal)));
  await Promise.race([dark, pause()]);
  const supplies = rig.safe.supply === 'off' ? instruments.filter(isSupply) : [];
  // A switch is there to be opened, also where the supply behind it is left on.
  const switches = instruments.filter(isSwitch);
  const chambers = keepAir ? [] : instruments.filter(isChamber);
  const air = Promise.all(chambers.map((chamber) => airOff(chamber, rig)));
  const powers = await Promise.all([
    ...supplies.map((supply) => powerOff(supply, rig)),
    ...switches.map((relay) => switchOff(relay, rig)),
  ]);
  // Without power a lamp cannot answer any more.
  if (powers.length > 0 && powers.every(({ confirmed }) => confirmed)) {
    await Promise.race([dark, pause()]);
    enough.abort();
  }
  const lamps = await dark;
  const all = [...powers, ...lamps, ...(await air)];
  // No light without power: a supply that confirms outweighs a link that cannot.
  const deciding = powers.length > 0 ? powers : lamps;
  return {
    confirmed: deciding.length > 0 && deciding.every(({ confirmed }) => confirmed),
    detail:
      all.map(({ detail }) => detail).join('; ') || 'the rig has neither a lamp link nor a supply',
  };
}

function pause(): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, headStart));
}

async function lampOff(link: LampLink, rig: Rig, signal: AbortSignal): Promise<SafeOutcome> {
  return guarded(link.name, rig, async ({ deadline }) => {
    const call = { deadline, signal };
    const { confirmed } = await link.safe(call);
    return {
      confirmed,
      detail: `${link.name}: light off${confirmed ? '' : ', not confirmed by the lamp'}`,
    };
  });
}

async function powerOff(supply: Supply, rig: Rig): Promise<SafeOutcome> {
  return guarded(supply.name, rig, async (call) => {
    await supply.output(false, call);
    const highest = rig.supply?.highestVolts ?? 0;
    const { confirmed, words } = await awaitNoOutput(supply, highest, call);
    return { confirmed, detail: `${supply.name}: ${words}` };
  });
}

async function switchOff(relay: PowerSwitch, rig: Rig): Promise<SafeOutcome> {
  return guarded(relay.name, rig, async (call) => {
    await relay.output(false, call);
    const { on, amps = 0, watts = 0 } = await relay.read(call);
    const flows = amps > leakage.amps || watts > leakage.watts;
    const found = on
      ? 'still on'
      : flows
        ? `off, but ${amps} A and ${watts} W go through it`
        : 'off';
    return { confirmed: !on && !flows, detail: `${relay.name}: ${found}` };
  });
}

/** Nobody is there any more who looks after hot or freezing air. No light depends on it, so that it decides nothing. */
async function airOff(chamber: Chamber, rig: Rig): Promise<SafeOutcome> {
  return guarded(chamber.name, rig, async (call) => {
    await chamber.stop(call);
    return { confirmed: true, detail: `${chamber.name}: conditioning off` };
  });
}

async function guarded(
  name: string,
  rig: Rig,
  act: (call: { readonly signal: AbortSignal; readonly deadline: number }) => Promise<SafeOutcome>,
): Promise<SafeOutcome> {
  try {
    // A signal of its own: the run's may have been aborted already.
    return await act({ signal: new AbortController().signal, deadline: rig.safe.within });
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    return { confirmed: false, detail: `${name}: ${why}` };
  }
}

function isLink(instrument: Instrument): instrument is LampLink {
  return instrument.kind === 'lamp-link';
}

function isSwitch(instrument: Instrument): instrument is PowerSwitch {
  return instrument.kind === 'switch';
}

function isChamber(instrument: Instrument): instrument is Chamber {
  return instrument.kind === 'chamber';
}

function isSupply(instrument: Instrument): instrument is Supply {
  return instrument.kind === 'supply';
}
