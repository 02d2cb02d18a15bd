import { BenchError } from '../harness/bench/errors.ts';
import type { Lamp, LampLinks } from '../harness/bench/lamp.ts';

/** What the lamp file says of a link. Throws BenchError `unsupported` where the lamp has none. */
export function linkOfLamp<Link extends keyof LampLinks>(
  { lamp, links }: Lamp,
  link: Link,
  instrument: string,
): NonNullable<LampLinks[Link]> {
  const found = links[link];
  if (found) return found;
  throw new BenchError(
    'unsupported',
    instrument,
    `lamp ${lamp} has no ${link} link; add links.${link} to the lamp file, or drop instrument ${instrument}`,
  );
}
