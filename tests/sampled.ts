import { createHash } from 'node:crypto';

/** `all`, or the seed of the draw; `tests/set-up.ts` draws and prints one where none is given. */
const sample = process.env['EVENFALL_SAMPLE'] ?? '1';

/** Whether campaigns are tried whole (`npm run campaigns`), and not a part of each. */
export const whole = sample === 'all';

/**
 * Of the members of a campaign those that `npm test` tries: so many, drawn by EVENFALL_SAMPLE, in their own order. The whole
 * campaign is `npm run campaigns`, which finds the files that import this one. `of` tells campaigns of one size apart.
 */
export function sampled<T>(members: readonly T[], count: number, of = ''): readonly T[] {
  return whole ? members : drawn(members, count, `${sample} ${of}`);
}

/** So many of `members`, drawn by `seed`, in their own order. */
export function drawn<T>(members: readonly T[], count: number, seed: string): readonly T[] {
  const lots = members.map((member, place) => {
    return { member, place, lot: lotOf(`${seed} ${place} of ${members.length}`) };
  });
  return lots
    .sort((one, other) => (one.lot < other.lot ? -1 : 1))
    .slice(0, count)
    .sort((one, other) => one.place - other.place)
    .map(({ member }) => member);
}

/** For generators of random input. */
export const sampleSeed = whole ? 2026 : Number.parseInt(lotOf(sample).slice(0, 7), 16);

function lotOf(text: string): string {
  return createHash('sha256').update(text).digest('hex');
}
