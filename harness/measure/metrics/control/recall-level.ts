import { keptLevel } from './kept-level.ts';

/**
 * Level after the lamp was switched on again or reset, relative to the level before (the reference window).
 * Source: IEC 62386-102 (power-on level MASK means the last level; confirmed).
 */
export const recallLevel = keptLevel(
  'recall-level',
  'Level recalled after a restart',
  'iec-62386-102',
);
