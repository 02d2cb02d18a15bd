import type { Need } from './metric.ts';

/** Light, or the LED current of one channel: a channel's light is proportional to it. */
export const lightNeed: Need = { signals: ['light', 'channel-current'], scope: 'one' };

/** The same, the current preferred: it is free of the other channels' light. */
export const channelNeed: Need = { signals: ['channel-current', 'light'], scope: 'one' };

/** LED current alone: for what light does not show. */
export const currentNeed: Need = { signals: ['channel-current'], scope: 'one' };

export const colourNeed: Need = { signals: ['colour'], scope: 'one' };

/** Levels held against one another: as good as the zero that both start from. */
export const levelNeed: Need = { ...lightNeed, zero: true };

/** A level relative to a reference window. */
export const relativeLevelNeed: Need = { ...levelNeed, reference: true };

/** Flicker: 2 kS/s is the least that shows the 1 kHz that most limits end at. */
export const flickerNeed: Need = { ...lightNeed, rate: 2000 };

/** Exactly one fade. */
export const fadeNeed: Need = { ...channelNeed, fade: true };

/** Light of a channel, millisecond by millisecond, against what a model allows. */
export const modelledLightNeed: Need = { ...channelNeed, rate: 2000, zero: true, model: true };

/** What the lamp answered, against what a model allows. */
export const modelledAnswersNeed: Need = { signals: [], scope: 'all-channels', model: true };

/** What the lamp takes: current and voltage of the mains or of its supply. */
export const inputPowerNeed: Need = {
  signals: ['mains-current', 'mains-voltage', 'supply-current', 'supply-voltage'],
  scope: 'one',
};

/** The mains: 40 harmonics of 60 Hz and enough samples on each, ten periods of 50 Hz. */
export const mainsNeed: Need = {
  signals: ['mains-current', 'mains-voltage'],
  scope: 'one',
  rate: 20_000,
  duration: 0.2,
  bandwidth: 2400,
};
