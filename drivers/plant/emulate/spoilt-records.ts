import type { RawCapture } from '../../../harness/bench/ports.ts';

/** What a digitiser may make of a record without a word: its status and its count are as of a sound one. */
export const spoilt = {
  stuck: standingStill,
  ring: goingRound,
  'flat-top': cutFlat,
  gaps: withGaps,
  coarse: inCoarseSteps,
  unplugged: reading0,
  hum: withHum,
  'noise-only': withoutSignal,
  'ac-coupled': withoutMean,
  'clips-some': clippedNowAndThen,
  'thousand-fold': (capture) => ({ ...capture, scale: capture.scale * 1000 }),
  fifth: (capture) => scaled(capture, 0.2),
  drifted: (capture) => scaled(capture, 0.97),
  shifted: shiftedDown,
  swapped: withSwappedBytes,
  'stuck-bit': withStuckBit,
} as const satisfies Record<string, (capture: RawCapture) => RawCapture>;

export type Spoiling = keyof typeof spoilt;

/** The converter stops: the last two fifths are one code. */
function standingStill(capture: RawCapture): RawCapture {
  const codes = capture.codes.slice();
  const from = Math.floor(codes.length * 0.6);
  return { ...capture, codes: codes.fill(codes[from] ?? 0, from) };
}

const ringLength = 200;

/** A ring of samples is read round and round from three fifths on. */
function goingRound(capture: RawCapture): RawCapture {
  const codes = capture.codes.slice();
  const from = Math.floor(codes.length * 0.6);
  for (let k = from + ringLength; k < codes.length; k++) codes[k] = codes[k - ringLength] ?? 0;
  return { ...capture, codes };
}

/** An amplifier ahead of the converter has no more than three fifths of what is asked of it. */
function cutFlat(capture: RawCapture): RawCapture {
  let most = 0;
  for (let k = 0; k < capture.codes.length; k++) most = Math.max(most, capture.codes[k] ?? 0);
  const top = Math.floor(0.6 * most);
  return { ...capture, codes: capture.codes.map((code) => Math.min(top, code)) };
}

/** Nothing comes through for 5 ms in the middle, and zeros stand in for it. */
function withGaps(capture: RawCapture): RawCapture {
  const from = Math.floor(capture.codes.length / 2);
  const until = from + Math.round(5e-3 * capture.rate);
  return { ...capture, codes: capture.codes.slice().fill(0, from, until) };
}

/** What is left of a sensor that is not plugged in: the noise of the converter. */
function withoutSignal(capture: RawCapture): RawCapture {
  const codes = capture.codes.map((code, k) => code - smoothed(capture.codes, k, 2));
  return { ...capture, codes };
}

/** A capacitor in the cable: what changes within 20 ms is left. */
function withoutMean(capture: RawCapture): RawCapture {
  const kept = 1 - 1 / Math.max(2, 0.02 * capture.rate);
  let [before, shown] = [capture.codes[0] ?? 0, 0];
  const codes = capture.codes.map((code) => {
    shown = kept * (shown + code - before);
    before = code;
    return Math.round(shown);
  });
  return { ...capture, codes };
}

/** Mean of the sample and those beside it. */
function smoothed(codes: RawCapture['codes'], at: number, beside: number): number {
  let sum = 0;
  let count = 0;
  for (let k = Math.max(0, at - beside); k <= Math.min(codes.length - 1, at + beside); k++) {
    sum += codes[k] ?? 0;
    count++;
  }
  return Math.round(sum / count);
}

/** 100 Hz about nothing, at a hundredth of the range: pickup, or a neighbour on the mains. */
function withHum(capture: RawCapture): RawCapture {
  const turn = (2 * Math.PI * 100) / capture.rate;
  const codes = capture.codes.map((code, k) =>
    Math.round(code + 0.01 * capture.highest * Math.sin(k * turn)),
  );
  return { ...capture, codes };
}

/** One sample in 5000 is at the top of the range. */
function clippedNowAndThen(capture: RawCapture): RawCapture {
  const codes = capture.codes.map((code, k) => (k % 5000 === 2500 ? capture.highest : code));
  return { ...capture, codes };
}

/** Its last ten bits are always 0. */
function inCoarseSteps(capture: RawCapture): RawCapture {
  return { ...capture, codes: capture.codes.map((code) => Math.floor(code / 1024) * 1024) };
}

function reading0(capture: RawCapture): RawCapture {
  return { ...capture, codes: capture.codes.slice().fill(0) };
}

/** A divider, a clamp, or a sensor that ages, that passes so much on; its noise is the converter's own. */
function scaled(capture: RawCapture, share: number): RawCapture {
  const codes = capture.codes.map((code, k) => {
    const mean = smoothed(capture.codes, k, 2);
    return Math.round(share * mean) + code - mean;
  });
  return { ...capture, codes };
}

const shift = -0.15;

function shiftedDown(capture: RawCapture): RawCapture {
  const steps = Math.round(shift / capture.scale);
  return { ...capture, codes: capture.codes.map((code) => Math.max(capture.lowest, code + steps)) };
}

/** As 16 bits that were read in the wrong order. */
function withSwappedBytes(capture: RawCapture): RawCapture {
  const codes = capture.codes.map(
    (code) => ((((code & 0xff) << 8) | ((code >> 8) & 0xff)) << 16) >> 16,
  );
  return { ...capture, codes };
}

function withStuckBit(capture: RawCapture): RawCapture {
  return { ...capture, codes: capture.codes.map((code) => code | (1 << 6)) };
}
