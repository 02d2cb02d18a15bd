import { describe, expect, it } from 'vitest';
import type { Trouble, TroubleKind } from '../../drivers/plant/emulate/trouble.ts';
import { BenchError, type BenchErrorKind } from '../../harness/bench/errors.ts';
import type { Call, Instrument } from '../../harness/bench/ports.ts';
import { lamp } from '../drivers/conformance/shipped-bench.ts';
import { openInstrument, openTestEmulation, rigFor } from '../drivers/emulate/open-test-bench.ts';

/** s */
const deadline = 0.4;
const grace = 1;
const all = Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1]));

/** What each kind of trouble has to be called by the driver; `as it is` where the port says that it is a result. */
const expected: Readonly<Record<TroubleKind, readonly BenchErrorKind[]>> = {
  silence: ['timeout'],
  late: ['timeout'],
  garbage: ['garbled', 'timeout', 'refused'],
  half: ['timeout', 'garbled'],
  // On a console, half an answer is no silence.
  drip: ['timeout', 'garbled'],
  reset: ['closed'],
  vanish: ['closed', 'timeout'],
  reboot: ['closed'],
  identity: ['identity-mismatch'],
  overload: [],
  saturated: [],
  stuck: [],
  ring: [],
  'flat-top': [],
  gaps: [],
  coarse: [],
  unplugged: [],
  'thousand-fold': [],
  drifted: [],
  fifth: [],
  shifted: [],
  swapped: [],
  'stuck-bit': [],
  'fast-clock-held': [],
  ambient: [],
  'filter-dead': [],
  'volts-ignored': [],
  'other-volts': [],
  'slow-rise': [],
  'answers-made-up': [],
  'turned-answers': [],
  'lost-digit': [],
  capitals: [],
  'held-up': [],
  'trigger-late': [],
  'trigger-hidden': [],
  replay: [],
  'replay-counted': [],
  'replay-at-once': [],
  'hand-over': [],
  ranging: [],
  twin: [],
  'twin-unseen': [],
  cut: [],
  apart: [],
  trip: [],
  hiccup: [],
  sag: [],
  'noise-only': [],
  'ac-coupled': [],
  'fast-clock': [],
  hum: [],
  'clips-some': [],
  behind: [],
  'lost-frames': [],
  'garbled-frames': [],
  frozen: [],
  dead: [],
  'gap-hidden': [],
  'stays-on': [],
  'stays-on-unread': [],
  'off-late': [],
  welded: [],
  'contact-lost': [],
  'door-open': [],
  'door-alarm': [],
  'air-stuck': [],
  'air-overshoot': [],
  'air-leaves': [],
};

interface Doing {
  readonly call: string;
  readonly act: (instrument: Instrument, call: Call) => Promise<unknown>;
}

const ask: Doing = { call: 'identify()', act: (instrument, call) => instrument.identify(call) };

const scpi: Readonly<Record<string, readonly Doing[]>> = {
  digitiser: [
    ask,
    {
      call: 'arm() and its record',
      act: async (instrument, call) => {
        if (instrument.kind !== 'digitiser') throw new Error('a digitiser expected');
        const inputs = [{ input: '1' }, { input: '10' }];
        const { finished } = await instrument.arm({ inputs, rate: 10e3, duration: 0.02 }, call);
        return finished;
      },
    },
  ],
  supply: [
    ask,
    {
      call: 'set()',
      act: (instrument, call) =>
        instrument.kind === 'supply' ? instrument.set({ volts: 24 }, call) : Promise.resolve(),
    },
    {
      call: 'output()',
      act: (instrument, call) =>
        instrument.kind === 'supply' ? instrument.output(true, call) : Promise.resolve(),
    },
    {
      call: 'read()',
      act: (instrument, call) =>
        instrument.kind === 'supply' ? instrument.read(call) : Promise.resolve(),
    },
  ],
  'colour-sensor': [
    ask,
    {
      call: 'read()',
      act: (instrument, call) =>
        instrument.kind === 'colour-sensor'
          ? instrument.read({ integration: 0.02 }, call)
          : Promise.resolve(),
    },
  ],
};

const links: readonly Doing[] = [
  ask,
  {
    call: 'set()',
    act: (instrument, call) =>
      instrument.kind === 'lamp-link'
        ? instrument.set({ level: 0.5, intensities: all }, call)
        : Promise.resolve(),
  },
  {
    call: 'fade()',
    act: (instrument, call) =>
      instrument.kind === 'lamp-link'
        ? instrument.fade({ level: 0.1, intensities: all }, 1, call)
        : Promise.resolve(),
  },
  {
    call: 'safe()',
    act: (instrument, call) =>
      instrument.kind === 'lamp-link' ? instrument.safe(call) : Promise.resolve(),
  },
];

const scpiTroubles: readonly TroubleKind[] = [
  'silence',
  'late',
  'garbage',
  'half',
  'drip',
  'reset',
  'vanish',
  'reboot',
];
const consoleTroubles: readonly TroubleKind[] = [
  'silence',
  'late',
  'garbage',
  'half',
  'drip',
  'reset',
  'vanish',
];
const terminalTroubles = consoleTroubles.filter((kind) => kind !== 'reset');

interface Row {
  readonly instrument: string;
  readonly terminal: boolean;
  readonly kind: TroubleKind;
  readonly doing: Doing;
}

function rows(
  instrument: string,
  doings: readonly Doing[],
  kinds: readonly TroubleKind[],
  terminal = false,
): Row[] {
  return kinds.flatMap((kind) => doings.map((doing) => ({ instrument, terminal, kind, doing })));
}

/** A restart is met by the calls that set something up: they read the error queue. */
const tellsNothing = (row: Row): boolean =>
  row.kind === 'reboot' &&
  (row.doing.call === 'identify()' || (row.instrument === 'supply' && row.doing.call === 'read()'));

const table: readonly Row[] = [
  ...Object.entries(scpi).flatMap(([name, doings]) => rows(name, doings, scpiTroubles)),
  ...rows('console', links, consoleTroubles),
  ...rows('console', links, terminalTroubles, true),
].filter((row) => !tellsNothing(row));

const title = ({ instrument, terminal, kind, doing }: Row): string =>
  `${instrument}${terminal ? ' on a terminal' : ''}: ${kind} at ${doing.call}`;

/** The instrument has answered once before the trouble begins, so that it is met in the middle of the work. */
async function underTrouble(row: Row, trouble: Partial<Trouble>) {
  const emulation = await openTestEmulation();
  try {
    await emulation.live.setSource(48);
    await emulation.live.setPower(true);
    const rig = rigFor(emulation, { terminal: row.terminal, deadline });
    const instrument = await openInstrument(rig, row.instrument);
    const signal = new AbortController().signal;
    await new Promise((resolve) => setTimeout(resolve, lamp.startUp * 1000));
    await instrument.identify({ signal, deadline: 5 });
    const usual = { kind: row.kind, on: row.instrument, from: 1, once: row.kind === 'reboot' };
    emulation.troubles.set([{ ...usual, seconds: row.kind === 'late' ? 3 : 0.15, ...trouble }]);
    const started = performance.now();
    const outcome = await row.doing.act(instrument, { signal, deadline }).then(
      (value) => ({ value, error: null }),
      (error: unknown) => ({ value: null, error }),
    );
    const took = (performance.now() - started) / 1000;
    emulation.troubles.set([]);
    const again = await row.doing.act(instrument, { signal, deadline: 10 }).then(
      () => null,
      (error: unknown) => error,
    );
    await instrument.close();
    return { ...outcome, took, again };
  } finally {
    await emulation.close();
  }
}

describe.concurrent('every kind of trouble at every call', { timeout: 30_000 }, () => {
  it.each(table.map((row) => [title(row), row] as const))('%s', async (_, row) => {
    const { error, took, again } = await underTrouble(row, {});
    expect(error).toBeInstanceOf(BenchError);
    expect(expected[row.kind]).toContain((error as BenchError).kind);
    expect((error as BenchError).instrument).toBe(row.instrument);
    expect(took).toBeLessThan(deadline + grace);
    // The next call works again, unless the port is gone for good.
    if (row.kind === 'vanish') expect(again).toBeInstanceOf(BenchError);
    else expect(again).toBeNull();
  });
});
