import { plainLine } from '../../../harness/files/plain-text.ts';
import { debugSectionsOf } from './debug/debug-sections.ts';
import { originalPlace } from './debug/original-offset.ts';
import { type SourceFrame, sourceFrames } from './debug/source-frames.ts';
import type { FirmwareImage } from './firmware-image.ts';

/** Functions of a trap that are named: where it was, and who called it. */
const mostCallers = 4;
const longestName = 60;

/** A function on the stack: its number, and where in the module it is. */
interface StackFrame {
  readonly number: number;
  readonly offset: number;
}

/**
 * Where a build trapped: `, in fade_step() at fade.c:31, called from lamp_tick() at main.c:12`; empty where the engine tells nothing of it,
 * without lines where the build tells none. Numbers of functions are those of the user's build, since whatever is added to it stands at
 * the ends of its lists.
 */
export function trapPlace(
  error: unknown,
  image: Pick<FirmwareImage, 'functionNames' | 'debug'>,
): string {
  const stack = error instanceof Error ? (error.stack ?? '') : '';
  const all = [...stack.matchAll(/wasm-function\[(\d+)\]:0x([\da-f]+)/g)].map(
    ([, number, offset]): StackFrame => ({
      number: Number(number),
      offset: Number.parseInt(offset ?? '', 16),
    }),
  );
  // A function that calls itself is told once; a stack that it fills shows nobody else.
  const frames = all.filter(({ number }, place) => number !== all[place - 1]?.number);
  const [innermost, ...callers] = frames
    .slice(0, 1 + mostCallers)
    .flatMap((frame) => functionsOf(frame, image))
    .slice(0, 1 + mostCallers);
  if (innermost === undefined) return '';
  const called = callers.length > 0 ? `, called from ${callers.join(', from ')}` : '';
  const itself = all[0]?.number === all[1]?.number && all.length > 1 ? ', which called itself' : '';
  return `, in ${innermost}${itself}${called}`;
}

/** A function, behind those that the optimiser made a part of it. */
function functionsOf(
  frame: StackFrame,
  { functionNames, debug }: Pick<FirmwareImage, 'functionNames' | 'debug'>,
): string[] {
  const own = functionNames.get(frame.number);
  const sources = debug ? sourcesOf(frame, debug) : [];
  if (sources.length === 0) return [`${nameOf(frame, own)}()`];
  return sources.map((source, place) => {
    const whole = place === sources.length - 1;
    return `${nameOf(frame, (whole ? own : undefined) ?? source.function ?? undefined)}()${lineOf(source)}`;
  });
}

function sourcesOf(
  { number, offset }: StackFrame,
  debug: NonNullable<FirmwareImage['debug']>,
): SourceFrame[] {
  try {
    const place = originalPlace(debug, number, offset);
    return place ? sourceFrames(debugSectionsOf(debug.build), place) : [];
  } catch {
    // Debug information that is damaged tells nothing; the trap has a message all the same.
    return [];
  }
}

function nameOf({ number }: StackFrame, name: string | undefined): string {
  return name === undefined ? `function ${number}` : plainLine(name).slice(0, longestName);
}

function lineOf({ file, line }: SourceFrame): string {
  const name = plainLine(file?.split(/[/\\]/).at(-1) ?? '').slice(-longestName);
  return name === '' || line <= 0 ? '' : ` at ${name}:${line}`;
}
