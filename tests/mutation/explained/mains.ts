import type { Explained } from './explanation.ts';

const mainsFeatures = 'harness/measure/features/mains';
const mains = 'harness/measure/metrics/mains';

export const mainsExplained: readonly Explained[] = [
  {
    file: `${mainsFeatures}/input-power.ts`,
    original: 'Math.abs(current.start - voltage.start) * current.rate > 0.01',
    replacement: 'Math.abs(current.start - voltage.start) * current.rate >= 0.01',
    why: 'They differ only where the starts are a hundredth of a sample apart to the last bit.',
  },
  {
    file: `${mainsFeatures}/input-power.ts`,
    original: 'quietNoise(current) < step / 2',
    replacement: 'quietNoise(current) <= step / 2',
    why: 'They differ only where the noise is half a code to the last bit.',
  },
  {
    file: `${mainsFeatures}/input-power.ts`,
    original: 'power && isMeasurable(power)',
    why: 'Of what is not measurable there is no active power, and a figure that is none counts for nothing.',
  },
  {
    file: `${mainsFeatures}/mains-doubt.ts`,
    original: 'noise >= step / 2',
    replacement: 'noise > step / 2',
    why: 'They differ only where the noise is half a code to the last bit.',
  },
  {
    file: `${mainsFeatures}/mains-record.ts`,
    original: 'Math.abs(own.start - current.start) * own.rate > 0.01',
    replacement: 'Math.abs(own.start - current.start) * own.rate >= 0.01',
    why: 'They differ only where the starts are a hundredth of a sample apart to the last bit.',
  },
  {
    file: `${mainsFeatures}/mains-record.ts`,
    original: 'periods.frequency > mains.lowest',
    replacement: 'periods.frequency >= mains.lowest',
    why: 'No frequency that was found is 40 Hz to the last bit.',
  },
  {
    file: `${mainsFeatures}/mains-record.ts`,
    original: 'periods.frequency < mains.highest',
    replacement: 'periods.frequency <= mains.highest',
    why: 'No frequency that was found is 70 Hz to the last bit.',
  },
  {
    file: `${mainsFeatures}/whole-periods.ts`,
    original: '!first || !last',
    replacement: 'false',
    why: 'Without a crossing the first and the last are the same: none.',
  },
  {
    file: `${mainsFeatures}/whole-periods.ts`,
    original: '!first || !last',
    replacement: '!first && !last',
    why: 'Where there is no first crossing there is no last one.',
  },
  {
    file: `${mainsFeatures}/whole-periods.ts`,
    original: 'Math.ceil(end) - 1',
    replacement: 'Math.ceil(end) + 1',
    why: 'Samples behind the end have no weight.',
  },
  {
    file: `${mains}/displacement-factor.ts`,
    original: '!voltage',
    replacement: 'false',
    why: 'Whoever asks for the angle has seen that there is a voltage.',
  },
  {
    file: `${mains}/harmonic-ratio.ts`,
    original: 'power.active <= classCPower',
    replacement: 'power.active < classCPower',
    why: 'No power that was measured is 25 W to the last bit.',
  },
  {
    file: `${mains}/harmonic-ratio.ts`,
    original: 'ratioOf(own) > ratioOf(worst)',
    replacement: 'ratioOf(own) >= ratioOf(worst)',
    why: 'Of two orders equally near their limits either may be named.',
  },
  {
    file: `${mains}/harmonic-ratio.ts`,
    original: '!isMeasurable(power)',
    replacement: 'false',
    why: 'Where the power over all periods is measurable, it is over one period less.',
  },
  {
    file: `${mains}/inrush-current.ts`,
    original: 'samples.length - 1',
    replacement: 'samples.length + 1',
    why: 'Behind the last sample nothing is above half, and no fall is told.',
  },
  {
    file: `${mains}/inrush-current.ts`,
    original: 'place < samples.length',
    replacement: 'place <= samples.length',
    why: 'Behind the last sample nothing is higher.',
  },
  {
    file: `${mains}/inrush-current.ts`,
    original: 'first > 0',
    replacement: 'true',
    why: 'In front of the first sample nothing is above half.',
  },
  {
    file: `${mains}/inrush-current.ts`,
    original: 'first > 0',
    replacement: 'first >= 0',
    why: 'In front of the first sample nothing is above half.',
  },
  {
    file: `${mains}/inrush-current.ts`,
    original: 'last < samples.length - 1',
    replacement: 'true',
    why: 'Behind the last sample nothing is above half.',
  },
  {
    file: `${mains}/inrush-current.ts`,
    original: 'last < samples.length - 1',
    replacement: 'last <= samples.length - 1',
    why: 'Behind the last sample nothing is above half.',
  },
];
