import { expect, it } from 'vitest';
import { touchedRooms } from '../../build/touched-rooms.ts';

it('the tests of a room are those of its mirror, each once; files beside the rooms have none', () => {
  const changed = [
    'harness/verdict/judge.ts',
    'harness/verdict/limits.ts',
    'drivers/dali/dali-driver.ts',
    'drivers/registry.ts',
    'tests/units/unit.test.ts',
    'README.md',
    'specs/fading/at-once.spec.yaml',
  ];
  expect(touchedRooms(changed)).toEqual(['tests/drivers/dali/', 'tests/units/', 'tests/verdict/']);
});
