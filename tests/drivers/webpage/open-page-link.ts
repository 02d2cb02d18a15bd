import { RealClock } from '../../../drivers/real-clock.ts';
import { webpageDriver } from '../../../drivers/webpage/webpage-driver.ts';
import type { LampLink } from '../../../harness/bench/ports.ts';
import { emulatedRig, lamp } from '../conformance/shipped-bench.ts';
import { instrumentOf } from '../instrument-of.ts';

/** The shipped lamp's link over a page, with these settings as they stand under `settings:` in a rig file. */
export async function openPageLink(settings: Record<string, unknown>): Promise<LampLink> {
  const link = instrumentOf(webpageDriver, settings, { name: 'page', deadline: 60 });
  const context = { rig: emulatedRig, lamp, clock: new RealClock(), folder: '.' };
  return (await webpageDriver.open(link, context)) as LampLink;
}
