import { keptLevel } from './kept-level.ts';

/**
 * Level after the control signal was lost, relative to the level before (the reference window): 1 where the lamp
 * holds, 0 where it goes off. Source: common practice, no source; which of the two is right is the lamp file's word.
 */
export const levelAfterLoss = keptLevel(
  'level-after-loss',
  'Level after loss of signal',
  'common-practice',
);
