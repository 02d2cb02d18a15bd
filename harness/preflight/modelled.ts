import { linkFacts, linkNames, links } from '../bench/links.ts';
import type { Rig } from '../bench/rig.ts';
import { findMetric } from '../measure/metrics.ts';
import type { Condition } from '../plan/plan.ts';
import type { Doubt } from './doubt.ts';
import type { PlannedJudgement } from './planned-judgement.ts';

/** A lamp can be held against its model where everything that the rig sends to it is told. */
export function checkModelled({ criteria }: Condition, rig: Rig): Doubt[] {
  const silent = Object.entries(rig.links).find(([, instrument]) => !tells(instrument, rig));
  if (!silent) return [];
  const [link, instrument] = silent;
  return criteria
    .filter(({ metric }) => findMetric(metric)?.needs.model)
    .map(({ metric, line }) => ({
      severity: 'refuse',
      metric,
      line,
      message: `needs to know everything that is sent to the lamp, but ${instrument} of rig ${rig.rig}, which carries ${link}, does not tell; leave the claim to a rig whose links have the drivers ${telling.join(', ')}`,
    }));
}

/** Light in lx has no nominal value. */
export function checkFullLight({ metric, criterion, capture }: PlannedJudgement): Doubt[] {
  if (!metric.needs.model || capture.signal !== 'light' || criterion.reference) return [];
  const message =
    'needs a window of steady light to relate light to; add "reference: MARK", or record channel-current';
  return [{ severity: 'refuse', metric: metric.id, line: criterion.line, message }];
}

const telling = linkNames.filter((name) => links[name].tells);

function tells(instrument: string, { instruments }: Rig): boolean {
  const driver = instruments.find(({ name }) => name === instrument)?.driver ?? '';
  return driver === 'plant' || linkFacts(driver)?.tells === true;
}
