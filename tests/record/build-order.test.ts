import { expect, it } from 'vitest';
import { orderByVersion } from '../../harness/record/build-order.ts';

function sorted(...builds: string[]): string[] | null {
  const order = orderByVersion(builds);
  return order && builds.toReversed().sort(order);
}

it.each([
  [
    [
      '1.0.0-alpha',
      '1.0.0-alpha.1',
      '1.0.0-alpha.beta',
      '1.0.0-beta',
      '1.0.0-beta.2',
      '1.0.0-beta.11',
      '1.0.0-rc.1',
      '1.0.0',
    ],
  ],
  [['1.9.0', '1.10.0', '1.11.0', '2.0.0']],
  [['v1.4.2', 'v1.4.2-2-g2414721', 'v1.4.2-14-gabc1234-dirty', 'v1.4.3-rc.1']],
  [['1.4', '1.4.1', '1.5', '1.5.0.1']],
])('versions follow each other as they are numbered: %j', (builds) => {
  expect(sorted(...builds)).toEqual(builds);
});

it('what is built from one version is not told apart', () => {
  const order = orderByVersion(['1.4.2+linux', '1.4.2+windows']);
  expect(order?.('1.4.2+linux', '1.4.2+windows')).toBe(0);
});

it.each([
  ['f3a9c01b'],
  ['20261130'],
  ['nightly'],
  ['1.4.2 beta'],
  ['1..2'],
  [''],
  ['release-1.4.2'],
])('there is no order where one is no version: %j', (build) => {
  expect(orderByVersion(['1.4.2', build])).toBeNull();
});
