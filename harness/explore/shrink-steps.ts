import type { WrittenStep } from '../plan/verbs/verb.ts';

/** Times that people write, s: the first that still does it is taken. */
const roundTimes = ['1 ms', '20 ms', '100 ms', '300 ms', '1 s', '3 s'];

/** Whether a sequence still does what it was kept for. */
export type StillDoes = (steps: readonly WrittenStep[]) => Promise<boolean>;

/**
 * The fewest and plainest steps that still do what these do: first whole stretches are left out, the largest first, then
 * figures are made plain. Asks at most `most` times.
 */
export async function shrinkSteps(
  steps: readonly WrittenStep[],
  stillDoes: StillDoes,
  most: number,
): Promise<readonly WrittenStep[]> {
  const budget = { left: most };
  const asked = async (candidate: readonly WrittenStep[]): Promise<boolean> => {
    if (budget.left <= 0 || candidate.length === 0) return false;
    budget.left--;
    return stillDoes(candidate);
  };
  let best = steps;
  for (;;) {
    const before = best;
    best = await leaveOut(best, asked);
    best = await makePlain(best, asked);
    if (best === before || budget.left <= 0) return best;
  }
}

async function leaveOut(
  steps: readonly WrittenStep[],
  asked: StillDoes,
): Promise<readonly WrittenStep[]> {
  let best = steps;
  for (let size = Math.ceil(best.length / 2); size >= 1; size = Math.floor(size / 2)) {
    // From the end: what comes late follows from what came before, seldom the other way round.
    for (let from = best.length - size; from >= 0; from -= size) {
      const candidate = best.toSpliced(from, size);
      if (await asked(candidate)) best = candidate;
    }
  }
  return best;
}

async function makePlain(
  steps: readonly WrittenStep[],
  asked: StillDoes,
): Promise<readonly WrittenStep[]> {
  let best = steps;
  for (let index = 0; index < best.length; index++) {
    for (const plainer of plainerSteps(best[index] ?? {})) {
      const candidate = best.with(index, plainer);
      if (!(await asked(candidate))) continue;
      best = candidate;
      break;
    }
  }
  return best;
}

/** Plainer ones of a step, the plainest first. */
function* plainerSteps(step: WrittenStep): Generator<WrittenStep> {
  const [verb = ''] = Object.keys(step);
  const written = step[verb];
  if (verb === 'hold') {
    for (const time of roundTimes) {
      if (time === written) return;
      yield { hold: time };
    }
    return;
  }
  if (typeof written !== 'object' || written === null || Array.isArray(written)) return;
  for (const [key, value] of Object.entries(written)) {
    for (const other of plainerValues(verb, key, value))
      yield { [verb]: other === undefined ? without(written, key) : { ...written, [key]: other } };
  }
}

/** Keys without which a step means the same but for less. */
const optional = new Set([
  'mix',
  'priority',
  'preview',
  'terminated',
  'sequence',
  'sync-address',
  'force-sync',
]);

function* plainerValues(verb: string, key: string, value: unknown): Generator<unknown> {
  if (optional.has(key)) yield undefined;
  if (key === 'over')
    for (const time of ['1 s', '2 s']) {
      if (time === value) return;
      yield time;
    }
  if (key === 'level')
    for (const level of plainLevels) {
      if (level === value) return;
      yield level;
    }
  if (key === 'wait' && value === false) yield undefined;
  if (key === 'value' && verb === 'send')
    for (const byte of [0, 1, 254]) {
      if (byte === value) return;
      yield byte;
    }
  if (Array.isArray(value)) {
    const zeros = value.map(() => 0);
    const full = value.map(() => 255);
    for (const plain of [zeros, full])
      if (plain.some((slot, index) => slot !== value[index])) yield plain;
  }
}

const plainLevels = ['100 %', '50 %', '10 %'];

function without(written: object, key: string): object {
  return Object.fromEntries(Object.entries(written).filter(([name]) => name !== key));
}
