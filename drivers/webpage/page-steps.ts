import * as z from 'zod';

const selector = z.string().min(1);

/** One thing that a person would do on the page. */
const step = z.union(
  [
    z.strictObject({ fill: selector, with: z.string() }),
    z.strictObject({ click: selector }),
    z.strictObject({ choose: selector, value: z.string() }),
    z.strictObject({ wait: selector, text: z.string().optional() }),
  ],
  'expected one of: fill + with, click, choose + value, wait (+ text)',
);

export type PageStep = z.infer<typeof step>;

export const pageSteps = (about: string) =>
  z.array(step).min(1).max(200).meta({ description: about });

/** What a step writes, with its places filled: `{level}`, `{milliseconds}` or `{seconds}`, `{intensity channel}`, per cent as on a console. */
export function fillStep(text: string, values: ReadonlyMap<string, string>): string {
  return text.replace(/\{([\w -]+)\}/g, (whole, place: string) => values.get(place) ?? whole);
}
