import { expect, it } from 'vitest';
import { newRunId } from '../../harness/archive/new-run-id.ts';

it('gives each run an id of its own: 20 hexadecimal digits', () => {
  const ids = new Set(Array.from({ length: 2000 }, newRunId));
  expect(ids.size).toBe(2000);
  for (const id of ids) expect(id).toMatch(/^[0-9a-f]{20}$/);
});
