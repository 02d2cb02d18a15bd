import type { ChallengedFault, ChallengeRecord } from '../../record/challenge-record.ts';

/** The challenge for a terminal: a line a fault, then what escaped, then the healthy lamps. */
export function renderChallenge(record: ChallengeRecord): string {
  const tried = record.faults.filter(({ notTried }) => notTried === null);
  const escaped = tried.filter(({ caughtBy }) => caughtBy.length === 0);
  const width = Math.max(5, ...record.faults.map(({ fault }) => fault.length));
  const lines = record.faults.map((fault) => faultLine(fault, width, record.lamps[0]!));
  return [
    ...lines,
    '',
    `${tried.length - escaped.length} of ${tried.length} seeded faults caught at their nominal size${share(tried.length - escaped.length, tried.length)}.`,
    ...escaped.map(({ fault, title }) => `Escaped: ${fault} (${title})`),
    ...tried.flatMap(missedLine),
    healthyLine(record.healthy),
    '',
  ].join('\n');
}

/** A lamp other than the usual one is named. */
function faultLine(fault: ChallengedFault, width: number, usual: string): string {
  const name = fault.fault.padEnd(width);
  const on = fault.lamp === usual ? '' : ` on ${fault.lamp}`;
  if (fault.notTried !== null) return `  ${name}  not tried: ${fault.notTried}`;
  if (fault.caughtBy.length === 0) {
    const sometimes =
      fault.sometimesBy.length > 0
        ? `, only for some lamps by ${fault.sometimesBy.join(', ')}`
        : '';
    return `▲ ${name}  escaped${on} at ${sizeText(fault.nominalSize, fault.unit)}${sometimes}`;
  }
  const smallest = sizeText(fault.smallestSizeCaught ?? fault.nominalSize, fault.unit);
  return `● ${name}  caught${on} down to ${smallest} by ${fault.caughtBy.join(', ')}`;
}

function missedLine({ fault, missedBy }: ChallengedFault): string[] {
  return missedBy.length > 0
    ? [`Expected to catch ${fault}, but did not: ${missedBy.join(', ')}`]
    : [];
}

function healthyLine({
  lamps,
  falseAlarms,
  undecided,
  bySpec,
}: ChallengeRecord['healthy']): string {
  const specs = Object.entries(bySpec).map(([spec, count]) => `${spec} ${count}`);
  const which = specs.length > 0 ? ` (${specs.join(', ')})` : '';
  return `Healthy lamps: ${lamps}, false alarms: ${falseAlarms}, undecided: ${undecided}${which}.`;
}

function share(part: number, whole: number): string {
  return whole > 0 ? ` (${((100 * part) / whole).toFixed(1)} %)` : '';
}

export function sizeText(size: number, unit: string): string {
  const figure = Number(size.toPrecision(4));
  return unit === '1' ? `${figure}` : `${figure} ${unit}`;
}
