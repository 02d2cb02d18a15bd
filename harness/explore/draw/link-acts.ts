import type { Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import { colourActs } from './colour-acts.ts';
import { consoleActs } from './console-acts.ts';
import { daliActs } from './dali-acts.ts';
import { lightActs } from './light-acts.ts';
import { packetActs } from './packet-acts.ts';
import { slotActs } from './slot-acts.ts';
import { type Act, oneOfActs } from './values.ts';

/** Something that is said on one link. */
export interface LinkActs {
  readonly link: keyof Lamp['links'];
  readonly acts: Arbitrary<Act>;
}

/** What is said on each link of the lamp, in kinds that sequences keep apart. */
export function linkActs(lamp: Lamp): readonly LinkActs[] {
  const { console, dali, dmx, sacn } = lamp.links;
  const withLight = (link: LinkActs['link'], acts: Arbitrary<Act>): LinkActs => ({
    link,
    acts: oneOfActs([
      [3, acts],
      [2, lightActs(link, lamp)],
    ]),
  });
  const onDali = (): Arbitrary<Act> =>
    oneOfActs([
      [6, daliActs(lamp)],
      [2, colourActs(lamp)],
      [1, lightActs('dali', lamp)],
    ]);
  return [
    ...(console ? [withLight('console', consoleActs(lamp, console))] : []),
    ...(dali ? [{ link: 'dali' as const, acts: onDali() }] : []),
    ...(dmx ? [withLight('dmx', slotActs('dmx', lamp, dmx))] : []),
    ...(sacn
      ? [
          withLight('sacn', slotActs('sacn', lamp, sacn)),
          { link: 'sacn' as const, acts: packetActs(lamp, sacn) },
        ]
      : []),
  ];
}
