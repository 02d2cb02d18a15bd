import type { Lamp } from '../bench/lamp.ts';
import { linkNames } from '../bench/links.ts';
import type { Needs } from '../plan/plan.ts';
import type { Raw } from '../plan/value-reader.ts';
import type { SpecFileShape } from './spec-schema.ts';

/** More points than this are a slip of the pen, and would keep a rig busy for weeks. */
export const mostConditions = 500;

/** One point of the matrix: what each condition is there. */
export type Point = ReadonlyMap<string, Raw>;

/** The cartesian product, the first condition changing slowest. Null: more points than `mostConditions`. */
export function expandMatrix(
  conditions: NonNullable<SpecFileShape['conditions']>,
  lamp: Lamp,
  needs: Needs,
): readonly Point[] | null {
  let points: Point[] = [new Map()];
  for (const [condition, written] of Object.entries(conditions)) {
    const values = valuesOf(written, lamp, needs);
    if (points.length * values.length > mostConditions) return null;
    points = points.flatMap((point) =>
      values.map((value) => new Map([...point, [condition, value]])),
    );
  }
  return points;
}

/** `each-channel`, `each-mix` and `each-link` are the lamp's own names; of links, those that the claim is about. */
function valuesOf(
  written: string | readonly Raw[],
  lamp: Lamp,
  { 'any-link': about = linkNames }: Needs,
): readonly Raw[] {
  if (written === 'each-channel') return lamp.channels.map(({ channel }) => channel);
  if (written === 'each-mix') return Object.keys(lamp.mixes);
  if (written === 'each-link')
    return linkNames.filter((name) => name in lamp.links && about.includes(name));
  return written as readonly Raw[];
}

/** `fade-time=2 s, supply=48 V` */
export function pointKey(point: Point): string {
  return [...point].map(([condition, value]) => `${condition}=${value}`).join(', ');
}
