import type { CaptureId } from '../../measure/observation.ts';

/**
 * Hands out capture ids made of signal, subject and mark (`channel-current-warm-full`, `light`): lower-case letters and
 * digits with hyphens, so that an id can be part of a file name. One that is taken already gets a number.
 */
export function captureIds(): (
  signal: string,
  of: string,
  during: string | undefined,
) => CaptureId {
  const taken = new Set<CaptureId>();
  return (signal, of, during) => {
    const parts = [signal, of === signal ? '' : of, during ?? ''];
    const name = parts.map(fileWord).filter(Boolean).join('-');
    let id = name;
    for (let number = 2; taken.has(id); number++) id = `${name}-${number}`;
    taken.add(id);
    return id;
  };
}

/** Name of a capture's file. `position`: place of its condition in the run, which makes the name unique within the run. */
export function captureFile(position: number, id: CaptureId): string {
  return `${String(position).padStart(4, '0')}-${id}.codes`;
}

/** Longest word of an id: two of them and a signal fit into a file name. */
const longest = 50;

/** Channels and marks are called what people like. */
function fileWord(name: string): string {
  const plain = name.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase();
  return plain
    .replace(/[^a-z0-9]+/g, '-')
    .slice(0, longest)
    .replace(/^-+|-+$/g, '');
}
