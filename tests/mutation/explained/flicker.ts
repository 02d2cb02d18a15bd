import { behindTheEnd, type Explained, sameEitherWay } from './explanation.ts';

const flickerFeatures = 'harness/measure/features/flicker';

export const flickerExplained: readonly Explained[] = [
  ...behindTheEnd(`${flickerFeatures}/band-limited-light.ts`, 'k < values.length'),
  ...behindTheEnd(`${flickerFeatures}/flicker-sensation.ts`, 'k < fluctuation.length'),
  ...sameEitherWay(
    `${flickerFeatures}/band-limited-light.ts`,
    'Where no tone is open both are the same figure.',
    ['open.length > 0', 'true'],
    ['open.length > 0', 'open.length >= 0'],
  ),
  ...sameEitherWay(
    `${flickerFeatures}/components.ts`,
    'It puts the same number in the place of itself.',
    ['amplitude > most', 'amplitude >= most'],
  ),
  ...sameEitherWay(`${flickerFeatures}/components.ts`, 'Behind the last line none is near.', [
    'line < lines.length',
    'line <= lines.length',
  ]),
  ...sameEitherWay(
    `${flickerFeatures}/flicker-sensation.ts`,
    'At the end of the ramp the factor is 1.',
    ['k < ramp', 'k <= ramp'],
  ),
  ...behindTheEnd(
    `${flickerFeatures}/light-flickermeter.ts`,
    'k < light.length',
    'k < some.length',
  ),
  ...sameEitherWay(`${flickerFeatures}/worst-component.ts`, 'Both sides are looked at.', [
    'c.frequency + sign * c.deviation',
    'c.frequency - sign * c.deviation',
  ]),
];
