import { behindTheEnd, type Explained, sameEitherWay } from './explanation.ts';

const fade = 'harness/measure/metrics/fade';
const fadeFeatures = 'harness/measure/features/fade';

const toTheLastBit = 'They differ only where two figures of a record are the same to the last bit.';
const nothingThere =
  'Beside an array of numbers nothing is read that is larger, or smaller, than anything.';
const largest = 'Of equals either is as large.';
const microsecond = 'They differ only for instants exactly a millionth of a second apart.';
const firstGuess =
  'Only where the line begins to be improved: it is improved until it stands still, and from here it comes to the same.';
const onlyCost = 'It is improved once more, or once less, where a part in 10^9 of it moves.';

export const fadeExplained: readonly Explained[] = [
  ...sameEitherWay(
    `${fadeFeatures}/fade-model.ts`,
    'A shortcut to what the mean of the levels gives, within the rounding of its sum; wider or narrower, it is taken less or not at all.',
    ['width / 2', 'width * 2'],
    ['to < start', 'false'],
    ['to < start', 'to <= start'],
    ['from > end', 'false'],
    ['from > end', 'from >= end'],
    ['!straight || from < start || to > end', 'true'],
    ['from < start', 'from <= start'],
    ['to > end', 'to >= end'],
    ['width !== known', 'true'],
  ),
  ...sameEitherWay(
    `${fadeFeatures}/fade-ends.ts`,
    toTheLastBit,
    ['farther * needed > mostShare', 'farther * needed >= mostShare'],
    ['valueAt(shares, k) >= share', 'valueAt(shares, k) > share'],
    ['valueAt(shares, k - 1) < share', 'valueAt(shares, k - 1) <= share'],
  ),
  ...sameEitherWay(
    `${fadeFeatures}/fade-ends.ts`,
    nothingThere,
    ['k > 0', 'k >= 0'],
    ['k < shares.length', 'k <= shares.length'],
    ['shares.length - 1', 'shares.length + 1'],
  ),
  ...sameEitherWay(
    `${fadeFeatures}/fade-ends.ts`,
    'Either is far below any light that is recorded.',
    ['Math.max(startLevel, endLevel)', 'Math.min(startLevel, endLevel)'],
  ),
  ...sameEitherWay(
    `${fadeFeatures}/fit-fade.ts`,
    firstGuess,
    ['quarter - duration / 4', 'quarter + duration / 4'],
    ['(share - before) / (now - before)', '(share - before) * (now - before)'],
    ['now - before', 'now + before'],
    ['index - 1', 'index + 1'],
    ['from + part * (to - from)', 'from - part * (to - from)'],
  ),
  ...sameEitherWay(
    `${fadeFeatures}/fit-fade.ts`,
    'Only averages within the ramp count, and they are there either way.',
    ['first.duration + width', 'first.duration - width'],
    ['first.start + first.duration', 'first.start - first.duration'],
  ),
  ...sameEitherWay(
    `${fadeFeatures}/fit-fade.ts`,
    onlyCost,
    ['count < iterations', 'count <= iterations'],
    ['result.start - line.start', 'result.start + line.start'],
    ['result.duration - line.duration', 'result.duration + line.duration'],
    ['change < 1e-9 * line.duration', 'false'],
    ['change < 1e-9 * line.duration', 'change <= 1e-9 * line.duration'],
    ['1e-9 * line.duration', '1e-9 / line.duration'],
  ),
  ...sameEitherWay(
    `${fadeFeatures}/fit-fade.ts`,
    toTheLastBit,
    ['rest <= quarter', 'rest < quarter'],
    ['before < share', 'before <= share'],
    ['now >= share', 'now > share'],
    ['at - edge < line.start', 'at - edge <= line.start'],
    ['at + edge > line.start + line.duration', 'at + edge >= line.start + line.duration'],
  ),
  ...behindTheEnd(`${fadeFeatures}/fit-fade.ts`, 'index < times.length'),
  ...sameEitherWay(
    `${fadeFeatures}/fit-fade.ts`,
    'Either is far below any light that a fade ends on.',
    ['1e-12 * endLevel', '1e-12 / endLevel'],
  ),
  ...sameEitherWay(
    `${fadeFeatures}/fade-plateaus.ts`,
    toTheLastBit,
    [
      'Math.abs(change) < slopeAllowed(stretch, fade) + 6 * white',
      'Math.abs(change) <= slopeAllowed(stretch, fade) + 6 * white',
    ],
    ['Math.abs(span) <= still', 'Math.abs(span) < still'],
    ['hidden > plateauSlope', 'hidden >= plateauSlope'],
  ),
  ...sameEitherWay(
    `${fadeFeatures}/commanded-fade.ts`,
    microsecond,
    ['Math.abs(one - two) <= instant', 'Math.abs(one - two) < instant'],
    ['from >= window.from - instant', 'from > window.from - instant'],
    ['segment.from < at - instant', 'segment.from <= at - instant'],
    ['segment.to > at + instant', 'segment.to >= at + instant'],
    ['at >= from - 1e-12', 'at > from - 1e-12'],
    ['at <= to + 1e-12', 'at < to + 1e-12'],
  ),
  ...sameEitherWay(
    `${fadeFeatures}/commanded-fade.ts`,
    'The table of one channel is the straight line itself.',
    ['single', 'false'],
  ),
  ...sameEitherWay(`${fadeFeatures}/channel-fades.ts`, microsecond, [
    'from >= window.from - 1e-6',
    'from > window.from - 1e-6',
  ]),
  ...behindTheEnd(`${fadeFeatures}/passings.ts`, 'place < ways.length'),
  ...sameEitherWay(
    `${fadeFeatures}/passings.ts`,
    toTheLastBit,
    ['before < share', 'before <= share'],
    ['now >= share', 'now > share'],
  ),
  ...behindTheEnd(`${fade}/settling-time.ts`, 'k < sizes.length'),
  ...sameEitherWay(
    `${fade}/settling-time.ts`,
    toTheLastBit,
    ['band > needed', 'band >= needed'],
    ['at > end', 'at >= end'],
    [
      'Math.abs(valueAt(values, last) - final) <= band',
      'Math.abs(valueAt(values, last) - final) < band',
    ],
  ),
  ...sameEitherWay(`${fade}/settling-time.ts`, nothingThere, ['last >= 0', 'true']),
  ...sameEitherWay(`${fade}/settling-time.ts`, 'Both sides are looked at.', [
    'final + side * (final - plateau)',
    'final - side * (final - plateau)',
  ]),
  ...behindTheEnd(`${fade}/fade-undershoot.ts`, 'place < track.values.length'),
  ...sameEitherWay(
    `${fade}/fade-undershoot.ts`,
    toTheLastBit,
    ['scatter < 0.5', 'scatter <= 0.5'],
    ['at > fit.end', 'at >= fit.end'],
  ),
  ...behindTheEnd(`${fade}/fade-overshoot.ts`, 'index < track.values.length'),
  ...sameEitherWay(
    `${fade}/fade-overshoot.ts`,
    toTheLastBit,
    ['scatter < 0.5', 'scatter <= 0.5'],
    ['valueAt(times, index) >= from', 'valueAt(times, index) > from'],
  ),
  ...sameEitherWay(`${fade}/fade-overshoot.ts`, largest, [
    'beyond > farthest',
    'beyond >= farthest',
  ]),
  ...sameEitherWay(
    `${fade}/largest-visible-step.ts`,
    largest,
    ['two.beyond > one.beyond', 'two.beyond >= one.beyond'],
    ['ideal < low', 'ideal <= low'],
    ['ideal > high', 'ideal >= high'],
  ),
  ...sameEitherWay(
    `${fade}/largest-visible-step.ts`,
    nothingThere,
    ['Math.max(0, index - reach)', 'Math.min(0, index - reach)'],
    ['ideals.length - 1', 'ideals.length + 1'],
  ),
  ...behindTheEnd(`${fade}/largest-visible-step.ts`, 'index < times.length'),
  ...sameEitherWay(
    `${fade}/largest-visible-step.ts`,
    toTheLastBit,
    ['usual > limit', 'usual >= limit'],
    ['seen < 0.75', 'seen <= 0.75'],
  ),
  ...sameEitherWay(
    `${fade}/dither.ts`,
    toTheLastBit,
    ['amplitude >= least * mean', 'amplitude > least * mean'],
    ['slower >= least', 'slower > least'],
    [
      'slowest.amplitude < clearOfSlowNoise * slowNoiseAt(slowest.frequency, waveform)',
      'slowest.amplitude <= clearOfSlowNoise * slowNoiseAt(slowest.frequency, waveform)',
    ],
    ['frequency < highest', 'frequency <= highest'],
  ),
  ...sameEitherWay(`${fade}/fade-synchrony.ts`, largest, [
    'two.spread > one.spread',
    'two.spread >= one.spread',
  ]),
  ...sameEitherWay(
    `${fade}/curve-deviation.ts`,
    toTheLastBit,
    ['found.seen < 0.75', 'found.seen <= 0.75'],
    ['white / level > limit', 'white / level >= limit'],
    ['Math.abs(worst) > clear * byChance * noise', 'Math.abs(worst) >= clear * byChance * noise'],
  ),
  ...sameEitherWay(`${fade}/curve-deviation.ts`, largest, [
    'Math.abs(worst) > Math.abs(best.worst)',
    'Math.abs(worst) >= Math.abs(best.worst)',
  ]),
];
