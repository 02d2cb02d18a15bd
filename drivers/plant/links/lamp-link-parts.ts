import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { LinkPort } from '../link-port.ts';
import type { LinkTraits } from './traits.ts';

/** What every simulated link is made of. */
export interface LampLinkParts {
  /** Instrument's name in the rig file. */
  readonly name: string;
  readonly lamp: Lamp;
  readonly port: LinkPort;
  readonly traits: LinkTraits;
}
