import * as z from 'zod';
import { frameRate, frameTime, usualTiming } from '../../bench/dmx-timing.ts';
import { mostSlots } from '../../bench/lamp.ts';
import type { FrameShape } from '../../bench/ports.ts';
import { scalar } from '../../files/schema-parts.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import type { ValueReader } from '../value-reader.ts';

export const frameShape = z
  .strictObject({
    rate: scalar('Frames a second.', '44 Hz').optional(),
    break: scalar('Break before each frame.', '92 µs').optional(),
    mark: scalar('Mark after the break.', '12 µs').optional(),
    slots: scalar('Slots of each frame: cut there, or filled up with zeros.', 512).optional(),
  })
  .meta({ description: 'How the sender makes its DMX512 frames from here on.' });

/** ANSI E1.11: break and mark may last up to 1 s, frames come 1 s apart at most. What no sender may send can be sent, too. */
const bounds = {
  rate: { above: 0, most: 1000 },
  time: { above: 0, most: 1 },
} as const;

/** How frames of `slots` slots are made; what does not fit into their rate is an issue. */
export function readFrameShape(
  written: z.infer<typeof frameShape>,
  slots: number,
  reader: ValueReader,
): FrameShape {
  const { rate, break: low, mark, slots: count } = written;
  const shape: FrameShape = {
    ...(rate !== undefined && { rate: reader.at('rate').figure(rate, 'frequency', bounds.rate) }),
    ...(low !== undefined && { break: reader.at('break').figure(low, 'time', bounds.time) }),
    ...(mark !== undefined && { mark: reader.at('mark').figure(mark, 'time', bounds.time) }),
    ...(count !== undefined && { slots: reader.at('slots').whole(count, 0, mostSlots) }),
  };
  const takes = frameTime(shape.slots ?? slots, { ...usualTiming, ...shape });
  const asked = shape.rate ?? frameRate;
  if (takes > 1 / asked)
    reader
      .at(...(rate === undefined ? [] : ['rate']))
      .report(
        `expected at most ${formatQuantity(Math.floor(10 / takes) / 10, 'frequency')}, found ${formatQuantity(asked, 'frequency')}: such a frame takes ${formatQuantity(takes, 'time')}`,
        rate,
      );
  return shape;
}

/** ` (44 Hz, break 92 µs, 512 slots)`; nothing for frames as usual. */
export function frameWords({ rate, break: low, mark, slots }: FrameShape = {}): string {
  const parts = [
    rate === undefined ? '' : `${formatQuantity(rate, 'frequency')}`,
    low === undefined ? '' : `break ${formatQuantity(low, 'time')}`,
    mark === undefined ? '' : `mark ${formatQuantity(mark, 'time')}`,
    slots === undefined ? '' : `${slots} slots`,
  ].filter(Boolean);
  return parts.length > 0 ? ` in frames of ${parts.join(', ')}` : '';
}
