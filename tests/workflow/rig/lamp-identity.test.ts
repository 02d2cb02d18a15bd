import { describe, expect, it } from 'vitest';
import { modelFit, serialFit, versionFit } from '../../../harness/workflow/rig/identity-fit.ts';
import { compareLamp, type LampWords } from '../../../harness/workflow/rig/lamp-identity.ts';

function words(link: string, more: Partial<NonNullable<LampWords['identity']>>): LampWords {
  const identity = { maker: '', model: '', serial: '', firmware: '', raw: '', ...more };
  return { link, identity, trouble: null, expected: false };
}

const model = 'alcove-6';

describe('a lamp that says who it is', () => {
  it.each([
    ['1.0.0', '1.0.0', 'same'],
    ['9.9.9', '1.0.0', 'other'],
    ['1.0', '1.0.0', 'same'],
    ['v1.0.0', 'alcove-firmware-1.0.0-rc3', 'same'],
    ['1.0.0-rc2', '1.0.0-rc3', 'other'],
    ['1.10.0', '1.1.0', 'other'],
    ['9f3ab2c', '9f3ab2c1d0', 'same'],
    ['9f3ab2c', '77aa0b1', 'other'],
    ['1.0.0', 'nightly', 'unknown'],
  ] as const)('firmware %s against build %s: %s', (said, wanted, fit) => {
    expect(versionFit(said, wanted)).toBe(fit);
  });

  it.each([
    ['Alcove-6', 'alcove-6', 'same'],
    ['ALCOVE 6 rev B', 'alcove-6', 'same'],
    ['alcove-60', 'alcove-6', 'other'],
    ['niche-2', 'alcove-6', 'other'],
  ] as const)('model %s against lamp file %s: %s', (said, wanted, fit) => {
    expect(modelFit(said, wanted)).toBe(fit);
  });

  it.each([
    ['0042', '42', 'same'],
    ['HD-0042', 'hd0042', 'same'],
    ['66', '42', 'same'],
    ['43', '44', 'other'],
    ['HD-0042', 'HD-0043', 'other'],
    ['43', 'HD-0043', 'unknown'],
  ] as const)('serial number %s against %s: %s', (said, wanted, fit) => {
    expect(serialFit(said, wanted)).toBe(fit);
  });

  it('is refused where it is another one, in a sentence', () => {
    const match = compareLamp([words('console', { model: 'niche-2', firmware: '9.9.9' })], {
      model,
      build: '1.0.0',
    });
    expect(match.contradictions).toEqual([
      'the lamp says model niche-2 on console, but the lamp file says alcove-6',
      'the lamp says firmware 9.9.9 on console, but --build says 1.0.0',
    ]);
  });

  it('is believed on the link that agrees; the other one is a deviation', () => {
    const { contradictions, deviations } = compareLamp(
      [words('console', { model, firmware: '1.2.0' }), words('dali', { firmware: '3.1' })],
      { model, build: '1.2.0' },
    );
    expect(contradictions).toEqual([]);
    expect(deviations).toEqual([
      {
        kind: 'lamp identity',
        text: 'the lamp says firmware 3.1 on dali, but --build says 1.2.0',
      },
    ]);
  });

  it('leaves a deviation where it cannot say, or what it says cannot be compared', () => {
    const mute = { link: 'dali', identity: null, trouble: 'timeout', expected: false };
    const { contradictions, deviations } = compareLamp(
      [words('console', { model, serial: '0', firmware: '1.0.0' }), mute],
      { model, build: 'nightly', serial: '77' },
    );
    expect(contradictions).toEqual([]);
    expect(deviations.map(({ text }) => text)).toEqual([
      'dali: the lamp did not say who it is (timeout)',
      'the lamp cannot confirm firmware nightly of --build: on console it says 1.0.0',
      'the lamp cannot confirm serial 77 of --serial',
    ]);
  });

  it('may be called otherwise than its file where the rig file expects that name', () => {
    const said = { ...words('console', { model: 'AC6' }), expected: true };
    expect(compareLamp([said], { model }).contradictions).toEqual([]);
  });
});
