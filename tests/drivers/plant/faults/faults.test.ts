import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { faults, findFault } from '../../../../drivers/plant/faults/faults.ts';
import { healthyModel } from '../../../../drivers/plant/model.ts';
import { shippedLamp } from '../../../spec-language/shipped-lamp.ts';

const folder = join(import.meta.dirname, '../../../../drivers/plant/faults');

describe('Every seeded fault', () => {
  it('is registered, and stands in a file of its name in the folder of its family', () => {
    const files = readdirSync(folder, { recursive: true, encoding: 'utf8' })
      .filter((name) => name.includes('/'))
      .sort();
    const named = faults.map(({ family, id }) => `${family.replace(' ', '-')}/${id}.ts`).sort();
    expect(named).toEqual(files);
  });

  it('has an id of its own, and its nominal size among its sizes', () => {
    expect(new Set(faults.map(({ id }) => id)).size).toBe(faults.length);
    for (const { id, sizes, size } of faults) {
      expect(id).toMatch(/^[a-z]+(-[a-z]+)*$/);
      expect(sizes, id).toContain(size.nominal);
    }
    expect(findFault('no-such-fault')).toBeUndefined();
  });

  it('changes only the model that it is given', () => {
    const lamp = shippedLamp('alcove-6');
    const healthy = JSON.stringify(healthyModel(lamp, 1));
    for (const fault of faults) {
      fault.apply(healthyModel(lamp, 1), fault.size.nominal, lamp);
      expect(JSON.stringify(healthyModel(lamp, 1)), fault.id).toBe(healthy);
    }
  });
});
