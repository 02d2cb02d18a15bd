import { didYouMean } from '../files/did-you-mean.ts';
import type { PathStep } from '../files/issue.ts';
import type { IssueList } from '../files/issue-list.ts';
import { valueAtPath } from '../files/schema-issues.ts';
import { driftProblem } from './after-schema.ts';
import { linkFacts, linkNames } from './links.ts';
import type { RigFile } from './rig-schema.ts';

/** What the parts of a rig file have to do with one another. Parts that are wrong in themselves are left out. */
export function checkRig(shape: Partial<RigFile>, issues: IssueList): void {
  const names = Object.keys(valueAtPath(issues.yaml.value, ['instruments']) ?? {});
  const known = (instrument: string, path: readonly PathStep[]): void => {
    if (names.includes(instrument)) return;
    const guess = didYouMean(instrument, names) || `; instruments: ${names.join(', ') || 'none'}`;
    issues.add(path, `"${instrument}" is not an instrument of this rig${guess}`);
  };
  if (shape.instruments) checkInstruments(shape.instruments, issues);
  for (const [index, { instrument }] of (shape.wiring ?? []).entries())
    known(instrument, ['wiring', index, 'instrument']);
  if (shape.wiring) checkDoubles(shape.wiring, issues);
  if (shape.wiring) checkCertificates(shape.wiring, issues);
  for (const part of ['supply', 'switch', 'chamber'] as const) {
    const named = shape[part];
    if (named) known(named.instrument, [part, 'instrument']);
  }
  if (shape.chamber?.probe) known(shape.chamber.probe, ['chamber', 'probe']);
  if (shape.chamber && shape.chamber.lowest >= shape.chamber.highest)
    issues.add(
      ['chamber', 'highest'],
      `expected more than the lowest (${shape.chamber.lowest} °C)`,
    );
  for (const [link, instrument] of Object.entries(shape.links ?? {})) {
    known(instrument, ['links', link]);
    if (!linkFacts(link)) {
      const guess = didYouMean(link, linkNames) || `; links: ${linkNames.join(', ')}`;
      issues.add(['links', link], `"${link}" is not a link${guess}`, 'key');
    }
  }
  for (const [index, { link, digitiser }] of (shape.timing ?? []).entries()) {
    known(digitiser, ['timing', index, 'digitiser']);
    if (shape.links && !(link in shape.links))
      issues.add(['timing', index, 'link'], `"${link}" is not a link of this rig`);
  }
  if (shape.after) checkAfter(shape.after, shape, issues);
  if (shape.links && Object.keys(shape.links).length === 0)
    issues.add(['links'], 'expected at least one link that carries commands, found none', 'key');
}

function checkAfter(
  after: NonNullable<RigFile['after']>,
  { before }: Partial<RigFile>,
  issues: IssueList,
): void {
  // A `before:` that is wrong in itself has its own issue.
  const isUnread = !before && valueAtPath(issues.yaml.value, ['before']) !== undefined;
  const problem = driftProblem(before, after);
  if (problem !== null && !isUnread) issues.add(['after', 'drift'], problem);
  const { dark, reference, drift, 'check-standard': standard } = after;
  if (!dark && !reference && !drift && !standard)
    issues.add(['after'], 'expected dark, reference, drift or check-standard, found none', 'key');
}

function checkInstruments(instruments: RigFile['instruments'], issues: IssueList): void {
  for (const [name, { calibration }] of Object.entries(instruments)) {
    if (!calibration || calibration.date <= calibration.due) continue;
    issues.add(
      ['instruments', name, 'calibration', 'due'],
      `expected a day after the calibration (${calibration.date}), found ${calibration.due}`,
    );
  }
}

function checkCertificates(wiring: RigFile['wiring'], issues: IssueList): void {
  for (const [index, { calibration }] of wiring.entries()) {
    if (!calibration || calibration.date <= calibration.due) continue;
    issues.add(
      ['wiring', index, 'calibration', 'due'],
      `expected a day after the calibration (${calibration.date}), found ${calibration.due}`,
    );
  }
}

/** Two scales for one signal of one channel: nobody could say which holds. */
function checkDoubles(wiring: RigFile['wiring'], issues: IssueList): void {
  const seen = new Set<string>();
  for (const [index, { signal, of = 'all', inputs }] of wiring.entries()) {
    const key = `${signal} of ${of}`;
    if (seen.has(key) && (of !== 'each' || inputs))
      issues.add(['wiring', index], `${key} is wired a second time; keep one of the two`);
    seen.add(key);
  }
}
