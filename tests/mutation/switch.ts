/** What the instrumented code asks to learn which change is active, and where it notes what a test passes through. */
interface Switch {
  activeMutant: number;
  /** By change, 1 where it was passed through; null: nothing is noted. */
  passed: Uint8Array | null;
  /** What was passed through while the code was loaded, outside of all tests. */
  readonly atLoad: Uint8Array;
  /** When noting, and the code that is changed, have to be done: on the clock of `now`. */
  readonly now: () => number;
  until: number;
  end: number;
  hits: number;
  /** Another at each change: what was remembered before it has to be forgotten. */
  turn: number;
}

/** Begins the line that names a test which takes too long to be asked. */
export const tooSlow = 'too slow ';

/** In place of a change's number, which begin at 0: none is active. */
export const noMutant = -1;

/** More changes than any group has. */
const most = 1 << 16;

export function nothingPassed(): Uint8Array {
  return new Uint8Array(most);
}

/** The name that the instrumenter gives it. */
const place = globalThis as { __stryker__?: Switch };

/** What the process has computed so far, ms: a busy machine makes no test slow. */
export function cpuTime(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

/** Made before any instrumented code is loaded, which would make an empty one. */
place.__stryker__ ??= newSwitch();

function newSwitch(): Switch {
  const atLoad = nothingPassed();
  const never = Number.POSITIVE_INFINITY;
  const now = cpuTime;
  return {
    activeMutant: noMutant,
    passed: atLoad,
    atLoad,
    now,
    until: never,
    end: never,
    hits: 0,
    turn: 0,
  };
}

export function theSwitch(): Switch {
  return (place.__stryker__ ??= newSwitch());
}

/**
 * The instrumented code with the questions put so that they cost little: they are asked at every operator. Numbers in place of
 * strings, one note for each change and test, and a look at the clock now and then, so that what hangs ends.
 */
export function quickened(code: string): string {
  return code
    .replace(/(stry(?:Cov|MutAct)_\w+)\(((?:"\d+"(?:, )?)+)\)/g, (_, name: string, ids: string) => {
      return `${name}(${ids.replaceAll('"', '')})`;
    })
    .replace(/var cov = ns[^;]*;/, '')
    .replace(/function cover\(\) \{.*?\n {2}\}\n/s, `function cover() {${cover}}\n`)
    .replace(/function isActive\(id\) \{.*?\n {2}\}\n/s, `function isActive(id) {${isActive}}\n`);
}

const cover = `
  if (ns.passed === null) return;
  for (var i = 0; i < arguments.length; i++) ns.passed[arguments[i]] = 1;
  if ((++ns.hits & 65535) === 0 && ns.now() > ns.until) throw new Error('too slow');
`;

const isActive = `
  if ((++ns.hits & 1048575) === 0 && ns.now() > ns.end) throw new Error('takes too long');
  return ns.activeMutant === id;
`;
