import type { Heard } from '../bench/heard.ts';

/** What one sequence looks like from outside, coarsely: pairs of messages that followed each other, and how bright the light was then. */
export function reachedKinds(
  heard: readonly Heard[],
  levelAt: (at: number) => number,
): ReadonlySet<string> {
  const kinds = new Set<string>();
  let before = '';
  for (const event of heard) {
    const kind = kindOf(event);
    if (kind === before && event.kind === 'dmx') continue;
    kinds.add(`${before}>${kind}@${bucket(levelAt(event.at))}`);
    before = kind;
  }
  return kinds;
}

/** Edges of control flow that were passed, each with the octave of how often: twice is news where once was known, 200 times is not. */
export function reachedEdges(counts: Uint8Array): readonly string[] {
  return [...counts].flatMap((count, edge) =>
    count > 0 ? [`edge ${edge} ${Math.floor(Math.log2(count))}`] : [],
  );
}

/** Octaves of light. */
function bucket(level: number): number {
  return level < 1e-4 ? -14 : Math.round(Math.log2(level));
}

function kindOf(event: Heard): string {
  switch (event.kind) {
    case 'dali':
      return `dali ${event.frame.length === 2 && ((event.frame[0] ?? 0) & 1) === 1 ? event.frame[1] : 'x'}`;
    case 'console':
      return `console ${event.line.split(' ')[0]}`;
    case 'dmx':
      return `dmx ${event.startCode}`;
    default:
      return event.kind;
  }
}
