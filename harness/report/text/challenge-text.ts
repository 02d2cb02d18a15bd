import type { ChallengedFault, ChallengeRecord } from '../../record/challenge-record.ts';
import { sizeText } from '../words/value-text.ts';

/** The challenge for a terminal: a line a fault, then what escaped, then the healthy lamps. */
export function renderChallenge(record: ChallengeRecord): string {
  const tried = record.faults.filter(({ notTried }) => notTried === null);
  const escaped = tried.filter(({ caughtBy }) => caughtBy.length === 0);
  const caught = tried.length - escaped.length;
  const width = Math.max(5, ...record.faults.map(({ fault }) => fault.length));
  const [usual] = record.lamps;
  return [
    ...record.faults.map((fault) => faultLine(fault, width, usual)),
    '',
    `${caught} of ${tried.length} seeded faults caught at their nominal size${share(caught, tried.length)}.`,
    ...escaped.map(({ fault, title }) => `Escaped: ${fault} (${title})`),
    ...tried.flatMap(missedLine),
    ...record.vacuous.map(({ spec, lamp, why }) => `Cannot fail on ${lamp}: ${spec} (${why})`),
    healthyLine(record.healthy),
    '',
  ].join('\n');
}

/** A lamp other than the usual one is named. */
function faultLine(challenged: ChallengedFault, width: number, usual: string | undefined): string {
  const { fault, lamp, notTried, caughtBy, sometimesBy } = challenged;
  const { smallestSizeCaught, nominalSize, unit } = challenged;
  const name = fault.padEnd(width);
  if (notTried !== null) return `  ${name}  not tried: ${notTried}`;
  const on = lamp === null || lamp === usual ? '' : ` on ${lamp}`;
  if (caughtBy.length > 0) {
    const smallest = sizeText(smallestSizeCaught ?? nominalSize, unit);
    return `● ${name}  caught${on} down to ${smallest} by ${caughtBy.join(', ')}`;
  }
  const some = sometimesBy.length > 0 ? `, caught on some lamps by ${sometimesBy.join(', ')}` : '';
  return `▲ ${name}  escaped${on} at ${sizeText(nominalSize, unit)}${some}`;
}

function missedLine({ fault, missedBy }: ChallengedFault): string[] {
  return missedBy.length > 0
    ? [`Expected to catch ${fault}, but did not: ${missedBy.join(', ')}`]
    : [];
}

function healthyLine(healthy: ChallengeRecord['healthy']): string {
  const { lamps, falseAlarms, undecided, bySpec } = healthy;
  const specs = Object.entries(bySpec).map(([spec, count]) => `${spec} ${count}`);
  const which = specs.length > 0 ? ` (${specs.join(', ')})` : '';
  return `Healthy lamps: ${lamps}, false alarms: ${falseAlarms}, undecided: ${undecided}${which}.`;
}

function share(part: number, whole: number): string {
  return whole > 0 ? ` (${((100 * part) / whole).toFixed(1)} %)` : '';
}
