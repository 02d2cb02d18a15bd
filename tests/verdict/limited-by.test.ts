import { expect, it } from 'vitest';
import { limitedBy } from '../../harness/verdict/limited-by.ts';

const of = (...parts: readonly (readonly [name: string, standard: number])[]) =>
  limitedBy(parts.map(([name, standard]) => ({ name, standard })));

it('names what most of an uncertainty comes from, and the rig where it comes of its inputs', () => {
  expect(of(['noise', 3], ['edges within samples', 1])).toBe(
    'limited by the rig: most of the uncertainty is noise',
  );
  expect(of(['edges within samples', 3], ['offset of digitiser light', 1])).toBe(
    'most of the uncertainty is edges within samples',
  );
  expect(of(['what the record cannot show', 2])).toMatch(/^limited by the rig/);
  expect(of(['noise of the highest sample', 2])).toBe(
    'most of the uncertainty is noise of the highest sample',
  );
});

it('names nothing where no contribution outweighs the rest together', () => {
  expect(of(['noise', 1], ['offset of digitiser light', 1])).toBeNull();
  expect(of()).toBeNull();
});
