import type { Fault } from '../fault.ts';

export const memoryCellsStick: Fault = {
  id: 'memory-cells-stick',
  title: 'Cells of the non-volatile memory are worn out',
  about:
    'After so many writes a byte keeps what it holds: what was stored last does not come back.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'writes that a byte still takes' },
  sizes: [100000, 3, 1],
  caughtBy: ['dali-settings-survive'],
  needs: { links: ['dali'] },
  apply(model, size) {
    model.memory.endurance = model.memory.written + size;
  },
};
