import type { Explained } from './explanation.ts';

const verdict = 'harness/verdict';

export const verdictExplained: readonly Explained[] = [
  {
    file: `${verdict}/assess.ts`,
    original: '() => false',
    replacement: '() => undefined',
    why: 'Whoever asks wants to know only whether it is true.',
  },
  {
    file: `${verdict}/assess.ts`,
    original: 'seed + run',
    why: 'Each realisation has a seed of its own either way.',
  },
  {
    file: `${verdict}/assess.ts`,
    original: 'k < 16',
    replacement: 'k <= 16',
    why: 'A sample behind the last is 0 for every record: the seed is another, and no worse.',
  },
  {
    file: `${verdict}/judge.ts`,
    original: 'belowUpper + aboveLower <= 2 * guard + slack',
    replacement: 'belowUpper + aboveLower < 2 * guard + slack',
    why: 'They differ only where the width equals 2 U to the last bit of what is allowed for rounding.',
  },
  {
    file: `${verdict}/known-input.ts`,
    original: 'noise !== undefined && dark',
    replacement: 'false',
    why: 'What is stated is taken below as well; this only saves the estimate.',
  },
  {
    file: `${verdict}/known-input.ts`,
    original: '{ noise, dark }',
    replacement: '{}',
    why: 'The input that this is laid over holds both already.',
  },
  {
    file: `${verdict}/random-errors.ts`,
    original: '(seed >>> 0) * 0.6180339887498949',
    why: 'To divide by the golden ratio adds 1 for each seed, and only the fraction counts.',
  },
  {
    file: `${verdict}/realisations.ts`,
    original: 'sum + each',
    replacement: 'sum - each',
    why: 'Of the mean only the square is asked for.',
  },
  {
    file: `${verdict}/realisations.ts`,
    original: 'mean > 0',
    replacement: 'mean >= 0',
    why: 'Where the mean is 0 nothing was made either way.',
  },
  {
    file: `${verdict}/systematic-errors.ts`,
    original: '1 + sign * standardScale',
    replacement: '1 - sign * standardScale',
    why: 'Both directions are taken, and their root mean square.',
  },
  {
    file: `${verdict}/systematic-errors.ts`,
    original: '1 + sign * timeBase',
    replacement: '1 - sign * timeBase',
    why: 'Both directions are taken, and their root mean square.',
  },
];
