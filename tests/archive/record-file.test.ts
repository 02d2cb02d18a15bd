import { describe, expect, it } from 'vitest';
import { recordBytes, recordText } from '../../harness/archive/record-file.ts';
import { sampleCondition, sampleRecord, sampleSpec } from '../record/sample-record.ts';

describe('recordBytes', () => {
  it.each([
    ['no claim', []],
    ['a claim without a condition', [sampleSpec('a', [])]],
    [
      'several claims, with letters of all sizes',
      [
        sampleSpec('a', [
          sampleCondition({ key: 'u′v′ ± 2 °C' }),
          sampleCondition({ key: '"\\$&' }),
        ]),
        sampleSpec('b', []),
        sampleSpec('c', [sampleCondition({ key: '🙂' })]),
      ],
    ],
  ])('are the bytes of the text: %s', (_, specs) => {
    const record = sampleRecord({ specs });
    expect(Buffer.from(recordBytes(record)).toString()).toBe(recordText(record));
  });
});
