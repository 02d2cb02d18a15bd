import type { Mutant } from './mutants.ts';

/** A survivor that no test can kill, or that none needs to: the same figures come out, or only their cost differs. */
interface Explained {
  readonly file: string;
  readonly original: string;
  /** Absent: whatever it is replaced by. */
  readonly replacement?: string;
  readonly why: string;
}

const verdict = 'harness/verdict';
const control = 'harness/measure/metrics/control';
const colour = 'harness/measure/metrics/colour';
const colourFeatures = 'harness/measure/features/colour';

const explained: readonly Explained[] = [
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
  {
    file: `${control}/processor-load.ts`,
    original: 'k < busy.length',
    replacement: 'k <= busy.length',
    why: 'Behind its end an array of bytes takes nothing, and gives nothing that is high.',
  },
  {
    file: `${control}/processor-load.ts`,
    original: 'own > longest',
    replacement: 'own >= longest',
    why: 'It puts the same number in the place of itself.',
  },
  {
    file: `${control}/processor-load.ts`,
    original: 'ways < count',
    replacement: 'ways <= count',
    why: 'It ends with the count either way.',
  },
  {
    file: `${control}/processor-load.ts`,
    original: 'last >= 0',
    replacement: 'last > 0',
    why: 'The first change can come at sample 1 at the earliest.',
  },
  {
    file: `${control}/command-latency.ts`,
    original: 'index < samples.length',
    replacement: 'index <= samples.length',
    why: 'Behind the last sample nothing is above a threshold.',
  },
  {
    file: `${control}/command-latency.ts`,
    original: 'index < track.times.length',
    replacement: 'index <= track.times.length',
    why: 'Behind the last average nothing is on either side of the middle.',
  },
  {
    file: `${control}/command-latency.ts`,
    original: 'one <= middle',
    replacement: 'true',
    why: 'The averages begin on the old side: the first beyond the middle follows one that is not.',
  },
  {
    file: `${control}/command-latency.ts`,
    original: 'one >= middle',
    replacement: 'true',
    why: 'The averages begin on the old side: the first beyond the middle follows one that is not.',
  },
  {
    file: `${control}/command-latency.ts`,
    original: 'one <= middle',
    replacement: 'one < middle',
    why: 'An average exactly in the middle is the same instant in either pair.',
  },
  {
    file: `${control}/command-latency.ts`,
    original: 'one >= middle',
    replacement: 'one > middle',
    why: 'An average exactly in the middle is the same instant in either pair.',
  },
  {
    file: `${control}/command-latency.ts`,
    original: 'two > middle',
    replacement: 'two >= middle',
    why: 'An average exactly in the middle is the same instant in either pair.',
  },
  {
    file: `${control}/command-latency.ts`,
    original: 'two < middle',
    replacement: 'two <= middle',
    why: 'An average exactly in the middle is the same instant in either pair.',
  },
  {
    file: `${control}/command-latency.ts`,
    original: 'after > before',
    replacement: 'after >= before',
    why: 'Two equal levels have been refused before.',
  },
  {
    file: `${colourFeatures}/mean-cct.ts`,
    original: 'x + step',
    replacement: 'x - step',
    why: 'A difference to the other side gives the same slope.',
  },
  {
    file: `${colourFeatures}/mean-cct.ts`,
    original: 'y + step',
    replacement: 'y - step',
    why: 'A difference to the other side gives the same slope.',
  },
  {
    file: `${colour}/path-deviation.ts`,
    original: 'Math.min(1000, wanted)',
    replacement: 'Math.max(1000, wanted)',
    why: 'More points of the same path; only the time that they take differs.',
  },
  {
    file: `${colour}/path-deviation.ts`,
    original: 'distance > worst',
    replacement: 'distance >= worst',
    why: 'Of two equally far readings either may be named.',
  },
  {
    file: `${colour}/tracking.ts`,
    original: 'two.level > one.level',
    replacement: 'two.level >= one.level',
    why: 'Of two equally bright levels either may be the first.',
  },
  {
    file: `${colour}/tracking.ts`,
    original: 'off(two) > off(one)',
    replacement: 'off(two) >= off(one)',
    why: 'Of two equally far levels either may be named.',
  },
  {
    file: `${colour}/channel-ratio-drift.ts`,
    original: 'Math.abs(two.ratio / common - 1) > Math.abs(one.ratio / common - 1)',
    replacement: 'Math.abs(two.ratio / common - 1) >= Math.abs(one.ratio / common - 1)',
    why: 'Of two equally far channels either may be named.',
  },
  {
    file: `${colour}/chromaticity-excursion.ts`,
    original: 'deltaUv(two.uv, mean) > deltaUv(one.uv, mean)',
    replacement: 'deltaUv(two.uv, mean) >= deltaUv(one.uv, mean)',
    why: 'Of two equally far instants either may be named.',
  },
];

export function explanationOf({ file, original, replacement }: Mutant): string | undefined {
  return explained.find(
    (each) =>
      each.file === file &&
      each.original === original &&
      (each.replacement ?? replacement) === replacement,
  )?.why;
}
