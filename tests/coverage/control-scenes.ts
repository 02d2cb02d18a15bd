import type { MakeScene } from './scene.ts';

export const controlScenes: Readonly<Record<string, MakeScene>> = {
  'memory-writes': (dice) => {
    const [period, width] = [dice.between(0.02, 0.06), dice.between(2e-4, 2e-3)];
    // No pulse begins at an end of the record.
    const value = (at: number) => ((at / period + 0.5) % 1 < width / period ? 3.3 : 0);
    return {
      of: 'lamp',
      sources: [{ signal: 'memory-write', of: 'memory-write', value, size: 3.3 }],
      rate: 20_000,
      length: 20 * period,
      truth: 20,
    };
  },
  'processor-load': (dice) => {
    const [load, period] = [dice.between(0.2, 0.8), dice.between(1.1e-3, 1.6e-3)];
    const phase = dice.between(0, 1);
    const value = (at: number) => ((at / period + phase) % 1 < load ? 3.3 : 0);
    return {
      of: 'lamp',
      sources: [{ signal: 'busy', of: 'busy', value, size: 3.3 }],
      rate: 20_000,
      length: 1,
      truth: load,
    };
  },
};
