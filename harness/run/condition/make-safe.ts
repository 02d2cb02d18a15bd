import type { Instrument, LampLink, OpenBench, Supply } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';

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
 * `confirmed` only when the supply reads back as off, or, where the supply is left on, when the lamp itself confirmed.
 */
export async function makeSafe(
  bench: Pick<OpenBench, 'instruments'>,
  rig: Rig,
): Promise<SafeOutcome> {
  const instruments = [...bench.instruments.values()];
  const enough = new AbortController();
  const links = instruments.filter(isLink);
  const dark = Promise.all(links.map((link) => lampOff(link, rig, enough.signal)));
  await Promise.race([dark, pause()]);
  const supplies = rig.safe.supply === 'off' ? instruments.filter(isSupply) : [];
  const powers = await Promise.all(supplies.map((supply) => powerOff(supply, rig)));
  // Without power a lamp cannot answer any more.
  if (powers.length > 0 && powers.every(({ confirmed }) => confirmed)) {
    await Promise.race([dark, pause()]);
    enough.abort();
  }
  const lamps = await dark;
  const all = [...powers, ...lamps];
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
    const { on, volts } = await supply.read(call);
    return {
      confirmed: !on,
      detail: `${supply.name}: output ${on ? `still on at ${volts} V` : 'off'}`,
    };
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

function isSupply(instrument: Instrument): instrument is Supply {
  return instrument.kind === 'supply';
}
