import { artificialTexts, simulatedInstruments } from '../record/artificial.ts';
import { benchBrokenText } from '../record/bench-after.ts';
import { partsOfRun } from '../record/parts-of-run.ts';
import type { InstrumentRecord, RunRecord, SpecRecord } from '../record/run-record.ts';
import { standsOpen } from '../verdict/verdict.ts';
import { sameName } from './person.ts';
import type { PolicyDemands } from './policy.ts';

/**
 * What a policy demands of a run and does not find, whoever signs: one sentence each, with what was demanded and what was
 * found. A run with any of them cannot be released under the policy.
 */
export function unmetDemands(demands: PolicyDemands, record: RunRecord): string[] {
  // Each bench of a merged run, and each lamp, has to be what is demanded.
  const ofBenches = partsOfRun(record).flatMap((part) => [
    ...unmetRig(demands, part),
    ...unmetLamp(demands, part),
    ...unmetCalibration(demands, part),
  ]);
  return [
    ...unmetEnding(record),
    ...unmetFaults(record),
    ...unmetBench(record),
    ...new Set(ofBenches),
    ...unmetRequirements(demands, record),
    ...unmetClaims(demands, record),
    ...unmetTags(demands, record),
    ...unmetDeviations(demands, record),
    ...unmetVerdicts(demands, record),
  ];
}

function sentence(demanded: string, found: string): string {
  return `demanded: ${demanded}; found: ${found}`;
}

function listed(names: readonly string[]): string {
  return names.length > 0 ? names.join(', ') : 'none';
}

function unmetEnding({ ended }: RunRecord): string[] {
  return ended === 'complete' ? [] : [sentence('a complete run', `one that ended ${ended}`)];
}

function unmetFaults({ faults }: RunRecord): string[] {
  if (faults.length === 0) return [];
  const seeded = faults.map(({ fault, size }) => `${fault} (size ${size})`);
  return [sentence('no seeded fault', seeded.join(', '))];
}

/** No policy can allow what nothing proves. */
function unmetBench(record: RunRecord): string[] {
  const broken = benchBrokenText(record);
  return broken === null ? [] : [sentence('a bench that is good after the last claim', broken)];
}

function unmetRig(
  { simulated, rigs, instruments }: PolicyDemands,
  record: RunRecord,
): readonly string[] {
  const { rig } = record;
  const unmet: string[] = [];
  if (!simulated && (rig.simulated || simulatedInstruments(rig).length > 0)) {
    const found = artificialTexts({ rig, faults: [] }).join();
    const named = /simulat/i.test(rig.name) ? '' : `, ${found}`;
    unmet.push(sentence('a real rig', `the rig ${rig.name}${named}`));
  }
  if (rigs && !rigs.some((name) => sameName(name, rig.name)))
    unmet.push(sentence(`the rig ${rigs.join(' or ')}`, rig.name));
  for (const { name, identity } of instruments ? recorders(record) : []) {
    if (instruments?.includes(identity.serial)) continue;
    const wanted = `an instrument ${name} with the serial number ${instruments?.join(' or ')}`;
    unmet.push(sentence(wanted, identity.serial || 'none'));
  }
  return unmet;
}

/** The instruments that something was recorded with. */
function recorders({ rig, specs }: RunRecord): readonly InstrumentRecord[] {
  const captures = specs.flatMap(({ conditions }) => conditions.flatMap((one) => one.captures));
  const names = new Set(captures.map(({ instrument }) => instrument));
  return rig.instruments.filter(({ name }) => names.has(name));
}

function unmetLamp(demands: PolicyDemands, { lamp }: RunRecord): string[] {
  const { builds, serials, firmware, reported } = demands;
  const unmet: string[] = [];
  if (builds && !builds.includes(lamp.build))
    unmet.push(sentence(`the build ${builds.join(' or ')}`, lamp.build));
  if (serials && !serials.includes(lamp.serial))
    unmet.push(sentence(`the lamp with the serial number ${serials.join(' or ')}`, lamp.serial));
  const { digest } = lamp.firmware;
  if (firmware && !(digest && firmware.includes(digest)))
    unmet.push(
      sentence(`firmware with sha256 ${firmware.map(short).join(' or ')}`, short(digest ?? 'none')),
    );
  const says = lamp.says ?? [];
  const wanted = { firmware: lamp.build, serial: lamp.serial };
  for (const what of reported) {
    const answers = says.flatMap((one) => (one[what].trim() === '' ? [] : [one[what]]));
    if (answers.some((said) => confirms(said, wanted[what]))) continue;
    const name = what === 'firmware' ? 'its build' : 'its serial number';
    const found = answers.length > 0 ? `it says ${answers.join(', ')}` : 'it said nothing of it';
    unmet.push(sentence(`that the lamp itself reports ${name} ${wanted[what]}`, found));
  }
  return unmet;
}

function short(digest: string): string {
  return digest.length === 64 ? `${digest.slice(0, 12)}…` : digest;
}

/** The very word, alone or among others: `Alcove 4.2.0` confirms 4.2.0, and 4.2 does not. */
function confirms(said: string, wanted: string): boolean {
  const plain = (text: string): string => text.toLowerCase().replace(/^v(?=\d)|^0+(?=\d)/, '');
  return [said.trim(), ...said.split(/[\s,;]+/)].some((word) => plain(word) === plain(wanted));
}

function unmetCalibration({ calibrated }: PolicyDemands, record: RunRecord): string[] {
  if (!calibrated || record.rig.simulated) return [];
  const began = record.startedAt.slice(0, 10);
  const ended = (record.endedAt ?? record.startedAt).slice(0, 10);
  const recorded = new Set(recorders(record));
  return record.rig.instruments.flatMap((instrument) => {
    const { name, calibration } = instrument;
    const wanted = `a calibration of ${name} that is in date from ${began} to ${ended}`;
    if (calibration === null) return recorded.has(instrument) ? [sentence(wanted, 'none')] : [];
    const { date, due, certificate } = calibration;
    const isSound = date <= began && ended <= due;
    return isSound ? [] : [sentence(wanted, `${certificate} of ${date}, due ${due}`)];
  });
}

const isPassed = ({ verdict }: SpecRecord): boolean => verdict === 'pass';

/** Passed, not for this lamp, or not passed so that somebody may waive it. */
function mayStand(demands: PolicyDemands, { spec, verdict }: SpecRecord): boolean {
  return !standsOpen({ verdict }) || mayBeWaived(demands, spec, verdict);
}

function mayBeWaived({ waivers }: PolicyDemands, spec: string, verdict: SpecRecord['verdict']) {
  return waivers.some(({ claim, verdicts }) => claim === spec && verdicts.includes(verdict));
}

function named({ spec, verdict }: SpecRecord): string {
  return `${spec} (${verdict})`;
}

function unmetRequirements(demands: PolicyDemands, { specs }: RunRecord): string[] {
  return demands.requirements.flatMap((requirement) => {
    const tracing = specs.filter(({ traces }) => traces.includes(requirement));
    const bad = tracing.filter((spec) => !mayStand(demands, spec));
    if (bad.length === 0 && tracing.some(isPassed)) return [];
    const wanted = `requirement ${requirement} proved by claims that pass`;
    const found = tracing.length === 0 ? 'no claim that traces it' : '';
    return [sentence(wanted, found || listed((bad.length > 0 ? bad : tracing).map(named)))];
  });
}

function unmetClaims(demands: PolicyDemands, { specs }: RunRecord): string[] {
  return demands.claims.flatMap(({ claim, digest }) => {
    const found = specs.find(({ spec }) => spec === claim);
    if (!found) return [sentence(`that the claim ${claim} passed`, 'no such claim in the run')];
    // Demanded by its name, it has to be one that the lamp can have.
    if (!isPassed(found) && !mayBeWaived(demands, found.spec, found.verdict))
      return [sentence(`that the claim ${claim} passed`, found.verdict)];
    if (digest === null || digest === found.digest) return [];
    const wanted = `the claim ${claim} by the spec file with sha256 ${short(digest)}`;
    return [sentence(wanted, short(found.digest))];
  });
}

function unmetTags(demands: PolicyDemands, { specs }: RunRecord): string[] {
  return Object.entries(demands.tags).flatMap(([tag, count]) => {
    const tagged = specs.filter(
      ({ tags, verdict }) => tags.includes(tag) && verdict !== 'not applicable',
    );
    const bad = tagged.filter((spec) => !mayStand(demands, spec));
    const passed = tagged.length - bad.length;
    if (bad.length === 0 && passed >= count) return [];
    const wanted = `${count} claims or more with the tag ${tag}, all of them passed`;
    const rest = bad.length > 0 ? `, and ${listed(bad.map(named))}` : '';
    return [sentence(wanted, `${passed} passed${rest}`)];
  });
}

function unmetDeviations({ deviations }: PolicyDemands, record: RunRecord): string[] {
  const found = new Map(record.deviations.map(({ kind, text }) => [kind, text]));
  const allowed = new Set([...deviations.map(({ kind }) => kind), ...impliedKinds]);
  return [...found]
    .filter(([kind]) => !allowed.has(kind))
    .map(([kind, text]) =>
      sentence(
        `no deviation${deviations.length > 0 ? ` but ${deviations.map((one) => one.kind).join(', ')}` : ''}`,
        `${kind}: ${text}`,
      ),
    );
}

/** Deviations that another demand speaks of: a simulated rig is refused, or allowed, by itself. */
const impliedKinds = ['simulation', 'simulated instruments'];

/** Claims of the run that did not pass and that the policy lets nobody waive. */
function unmetVerdicts(demands: PolicyDemands, { specs }: RunRecord): string[] {
  const open = specs.filter((spec) => !mayStand(demands, spec)).map(named);
  if (open.length === 0) return [];
  return [sentence('that all claims pass but those that may be waived', listed(open))];
}

/** Roles that may waive a claim of this verdict. */
export function waivingRoles(
  { waivers }: PolicyDemands,
  spec: string,
  verdict: SpecRecord['verdict'],
): readonly string[] {
  return waivers
    .filter(({ claim, verdicts }) => claim === spec && verdicts.includes(verdict))
    .flatMap(({ by }) => by);
}
