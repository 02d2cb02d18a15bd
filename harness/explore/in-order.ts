import type { Heard } from '../bench/heard.ts';

/** s without a frame after which a DMX512 signal counts as lost here: well above the pace of any sender, below the second of ANSI E1.11. */
const longestGap = 0.5;

/**
 * In order of time; where frames of slots stay away, the loss of the signal stands behind the last of them. Of a run of equal frames that
 * nothing interrupts the first two and the last are kept.
 */
export function inOrder(heard: readonly Heard[]): readonly Heard[] {
  const sorted = heard.toSorted((one, other) => one.at - other.at);
  const signals = sorted.filter(({ kind }) => kind === 'dmx');
  // Bytes without a break, and frames of other start codes, may count as signal or not: it stops twice.
  const frames = signals.filter(isOfLevels);
  const losses =
    frames.length < signals.length ? [...stops(frames), ...stops(signals)] : stops(signals);
  const all = [...sorted, ...losses].toSorted((one, other) => one.at - other.at);
  return all.filter((event, index) => !isMiddle(all, event, index));
}

function isOfLevels(event: Heard): boolean {
  return event.kind === 'dmx' && event.startCode === 0 && !event.unframed;
}

function stops(signals: readonly Heard[]): Heard[] {
  return signals.flatMap(({ at }, index): Heard[] => {
    const next = signals[index + 1]?.at ?? Number.POSITIVE_INFINITY;
    return next - at > longestGap ? [{ kind: 'dmx-stops', at }] : [];
  });
}

/** A frame in the middle of a run of equal ones says nothing that its neighbours do not say. */
function isMiddle(all: readonly Heard[], event: Heard, index: number): boolean {
  const [first, before, after] = [all[index - 2], all[index - 1], all[index + 1]];
  return [first, before, after].every((other) => other !== undefined && isEqual(event, other));
}

function isEqual(one: Heard, other: Heard): boolean {
  return (
    one.kind === 'dmx' &&
    other.kind === 'dmx' &&
    one.startCode === other.startCode &&
    one.unframed === other.unframed &&
    one.slots.length === other.slots.length &&
    one.slots.every((slot, index) => slot === other.slots[index])
  );
}
