import type { Explained } from './explanation.ts';

const control = 'harness/measure/metrics/control';

export const controlExplained: readonly Explained[] = [
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
];
