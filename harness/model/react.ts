import type { Heard } from '../bench/heard.ts';
import { hearBytes, hearLine } from './console.ts';
import { hearBus, hearFrame } from './dali/hear-frame.ts';
import { hearAir, heardAs, hearSupply } from './power.ts';
import { restartFirmware } from './restart.ts';
import { hearSlots, loseSlots } from './slots/dmx.ts';
import { hearDatagram } from './slots/sacn.ts';
import { beforeLoss } from './slots/take-slots.ts';
import type { Moment, Reaction, World } from './world.ts';

/** All that may come of an event in a world. */
export function react(world: World, event: Heard, moment: Moment): readonly Reaction[] {
  if (event.kind === 'supply') return hearSupply(world, event, moment);
  if (event.kind === 'air') return hearAir(world, event, moment);
  if (event.kind === 'dali-bus')
    return hearBus(world, event.powered, moment).map((one) => ({ world: one }));
  return heardAs(world, moment, (hearing) =>
    take(hearing, event, moment).flatMap((reaction) =>
      beforeLoss(reaction.world, moment).map((one) => ({ ...reaction, world: one })),
    ),
  );
}

function take(world: World, event: Heard, moment: Moment): readonly Reaction[] {
  switch (event.kind) {
    case 'console':
      return hearLine(world, event, moment);
    case 'console-bytes':
      return hearBytes(world, event, moment);
    case 'dali':
      return hearFrame(world, event.frame, moment);
    case 'dmx':
      return hearSlots(world, event, moment);
    case 'dmx-stops':
      return [{ world: loseSlots(world, moment) }];
    case 'sacn':
      return hearDatagram(world, event.datagram, moment);
    case 'reset':
      return restartFirmware(world, moment).map((one) => ({ world: one }));
    default:
      return [{ world }];
  }
}
