import { RealClock } from '../../../drivers/real-clock.ts';
import { openWebpage } from '../../../drivers/webpage/open-webpage.ts';
import type { LampLink } from '../../../harness/bench/ports.ts';
import { emulatedRig, lamp } from '../conformance/shipped-bench.ts';

/** The shipped lamp's link over a page, with these settings as they stand under `settings:` in a rig file. */
export async function openPageLink(settings: Record<string, unknown>): Promise<LampLink> {
  const link = {
    name: 'page',
    driver: 'webpage',
    identity: {},
    settings,
    deadline: 60,
    retries: 0,
  };
  const context = { rig: emulatedRig, lamp, clock: new RealClock(), folder: '.' };
  return (await openWebpage(link, context)) as LampLink;
}
