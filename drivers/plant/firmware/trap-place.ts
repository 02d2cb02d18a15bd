import { plainLine } from '../../../harness/files/plain-text.ts';

/** Functions of a trap that are named: where it was, and who called it. */
const mostCallers = 4;
const longestName = 60;

/**
 * Where a build trapped: `, in fade_step(), called from lamp_tick()`; empty where the engine tells nothing of it. Numbers of functions are
 * those of the user's build, since whatever is added to it stands at the ends of its lists.
 */
export function trapPlace(error: unknown, names: ReadonlyMap<number, string>): string {
  const stack = error instanceof Error ? (error.stack ?? '') : '';
  const numbers = [...stack.matchAll(/wasm-function\[(\d+)\]/g)].map(([, digits]) =>
    Number(digits),
  );
  // A function that calls itself is told once; a stack that it fills shows nobody else.
  const frames = numbers.filter((number, place) => number !== numbers[place - 1]);
  const [innermost, ...callers] = frames
    .slice(0, 1 + mostCallers)
    .map((number) => `${nameOf(number, names)}()`);
  if (innermost === undefined) return '';
  const called = callers.length > 0 ? `, called from ${callers.join(', from ')}` : '';
  const itself = numbers[0] === numbers[1] ? ', which called itself' : '';
  return `, in ${innermost}${itself}${called}`;
}

function nameOf(number: number, names: ReadonlyMap<number, string>): string {
  const name = names.get(number);
  return name === undefined ? `function ${number}` : plainLine(name).slice(0, longestName);
}
