import { spectrumDoubt } from '../../harness/measure/colorimetry/spectrum-tristimulus.ts';
import { expectThat, type Guarantee, plainCall } from './guarantee.ts';
import { rejectsWith, resolves } from './settled.ts';

export const spectrometerGuarantees: readonly Guarantee<'spectrometer'>[] = [
  {
    guarantee:
      'A spectrum is whole: wavelengths that colour follows from, values, integration time',
    kinds: ['spectrometer'],
    check: async (spectrometer, candidate) => {
      const integration = 0.1;
      const measure = spectrometer.measure({ integration }, plainCall(candidate));
      const spectrum = await resolves(measure, candidate.deadline + integration, 'measure()');
      const doubt = spectrumDoubt(spectrum);
      expectThat(doubt === null, doubt ?? '');
      expectThat(spectrum.values.every(Number.isFinite), 'every value should be a figure');
      expectThat(
        Math.abs(spectrum.integration / integration - 1) < 0.5,
        `it integrated for ${spectrum.integration} s; expected ${integration} s`,
      );
    },
  },
  {
    guarantee: 'An integration time of nothing is refused or unsupported',
    kinds: ['spectrometer'],
    check: async (spectrometer, candidate) => {
      const measure = spectrometer.measure({ integration: 0 }, plainCall(candidate));
      const kinds = ['unsupported', 'refused'] as const;
      await rejectsWith(measure, kinds, candidate.deadline, 'measure() over 0 s');
    },
  },
];
