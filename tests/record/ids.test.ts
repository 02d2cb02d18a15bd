import { describe, expect, it } from 'vitest';
import { runFolderName, shortId } from '../../harness/record/ids.ts';
import { sampleRecord } from './sample-record.ts';

function nameOf(name: string, build: string): string {
  return runFolderName(sampleRecord({ lamp: { ...sampleRecord().lamp, name, build } }));
}

describe('the name of a run', () => {
  it('tells time, lamp, build and short id', () => {
    expect(nameOf('Alcove-6', 'v1.4.2+dirty')).toBe(
      '2026-03-04T05-06-07Z-alcove-6-v1.4.2-dirty-3fa9c01b',
    );
  });

  it.each([
    ['../../etc', '..', 'etc-unnamed'],
    ['Vitrine Ø/2', 'a\\b:c*?', 'vitrine-2-a-b-c'],
    ['灯', '', 'unnamed-unnamed'],
    ['x'.repeat(300), '1', `${'x'.repeat(40)}-1`],
    ['-rf', '.hidden', 'rf-hidden'],
  ])('is safe in every file system: %j', (name, build, expected) => {
    expect(nameOf(name, build)).toBe(`2026-03-04T05-06-07Z-${expected}-3fa9c01b`);
  });

  it('shortens an id to its first eight digits', () => {
    expect(shortId('3fa9c01b77de4a5c0b1d')).toBe('3fa9c01b');
  });
});
