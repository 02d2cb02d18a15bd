import * as z from 'zod';

export const finite = z.number();
export const sha256 = z.string().regex(/^[0-9a-f]{64}$/);

/** A bench whose clock was never set begins in 1970; beyond 2200 the keys of the index would not tell instants apart. */
const latest = Date.UTC(2200, 0);
export const instant = z
  .string()
  .regex(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z$/)
  .refine((text) => {
    const time = Date.parse(text);
    return time >= 0 && time < latest;
  }, 'Invalid input: expected an instant from 1970 to 2199');
export const safeStateSchema = z.strictObject({
  confirmed: z.boolean(),
  at: instant.nullable(),
  detail: z.string(),
});
/** What a lamp said of itself, link by link. */
export const lampSaysSchema = z.array(
  z.strictObject({
    link: z.string(),
    maker: z.string(),
    model: z.string(),
    serial: z.string(),
    firmware: z.string(),
    raw: z.string(),
  }),
);
