import { newRunId } from '../../archive/new-run-id.ts';
import { calibrationState } from '../../bench/calibration-state.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type { Identity } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import type { Plan } from '../../plan/plan.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import { notChecked } from '../../record/bench-after.ts';
import type { Quarantine } from '../../record/quarantine.ts';
import type { ReadingBefore } from '../../record/rig-record.ts';
import {
  type RunRecord,
  recordFormat,
  recordVersion,
  type SpecRecord,
} from '../../record/run-record.ts';
import type { Shard } from '../../record/shard-record.ts';
import { isSimulated } from '../inputs/read-bench.ts';
import type { Selection } from '../inputs/select-plans.ts';
import { harnessVersion } from '../version.ts';

const notEnded = 'the run has not ended';

/** What is known of a run before it starts. */
export interface DraftFacts {
  readonly lamp: Lamp;
  readonly lampFile: { readonly file: string; readonly digest: string };
  readonly rig: Rig;
  readonly rigFile: { readonly file: string; readonly digest: string };
  readonly plans: readonly Plan[];
  readonly seed: number;
  readonly faults: RunRecord['faults'];
  readonly tags: readonly string[];
  readonly paths: readonly string[];
  readonly only?: Selection['only'];
  readonly failedIn?: Selection['failedIn'];
  readonly shard?: Shard;
  /** How often what is inconclusive is measured again; absent where it is left at that. */
  readonly again?: number | undefined;
  /** Claims in quarantine. */
  readonly quarantine?: ReadonlyMap<string, Quarantine> | undefined;
  readonly build: string;
  readonly serial: string;
  /** What the lamp says of itself, link by link. */
  readonly says?: NonNullable<RunRecord['lamp']['says']>;
  /** What departs from the method beside simulated instruments. */
  readonly deviations?: RunRecord['deviations'];
  readonly firmware: RunRecord['lamp']['firmware'];
  readonly commit: string | null;
  /** Digest of the program, on the simulated lamp. */
  readonly code?: string | undefined;
  /** Identities that the instruments gave, by name in the rig file. */
  readonly identities: ReadonlyMap<string, Identity>;
  readonly notes: RunRecord['rig']['notes'];
  /** Control chart of the check standard. */
  readonly standard?: RunRecord['rig']['standard'];
  /** What a drift is told against after the last claim. */
  readonly reading?: ReadingBefore;
  /** Who operates the bench, where somebody said so. */
  readonly operator?: string | undefined;
  readonly startedAt: string;
}

/** The record of a run that has not begun: every claim that the lamp can have is `not run`. */
export function draftRecord(facts: DraftFacts): RunRecord {
  const { lamp, rig } = facts;
  return {
    format: recordFormat,
    version: recordVersion,
    id: newRunId(),
    ended: 'unfinished',
    startedAt: facts.startedAt,
    endedAt: null,
    harness: harnessRecord(facts),
    lamp: {
      name: lamp.lamp,
      maker: lamp.maker,
      build: facts.build,
      serial: facts.serial,
      channels: lamp.channels.map(({ channel, xy: [x, y] }) => ({ channel, xy: [x, y] })),
      ...facts.lampFile,
      firmware: facts.firmware,
      ...(facts.says?.length ? { says: facts.says } : {}),
    },
    rig: benchRecord(facts),
    ...(facts.operator ? { operator: facts.operator } : {}),
    seed: facts.seed,
    faults: facts.faults,
    decision: { ...rig.decision, ...(facts.again !== undefined && { again: facts.again }) },
    selection: selectionRecord(facts),
    verdict: 'not run',
    totals: { claims: {}, findings: {}, lampTime: 0, wallTime: 0 },
    safeState: { confirmed: false, at: null, detail: notEnded },
    deviations: [...simulatedDeviation(rig), ...(facts.deviations ?? [])],
    follows: [],
    specs: facts.plans.map(({ spec, claim, file, folder, digest, traces, tags, needs }) => ({
      spec,
      claim,
      file,
      folder,
      digest,
      traces: [...traces],
      tags: [...tags],
      ...beforeTheRun(unmetNeed(needs, lamp)),
      ...quarantineOf(spec, facts),
      conditions: [],
    })),
  };
}

/** The bench, its instruments and what was seen of it before the first claim. */
function benchRecord(facts: DraftFacts): RunRecord['rig'] {
  const { rig } = facts;
  return {
    name: rig.rig,
    place: rig.place,
    ...facts.rigFile,
    simulated: isSimulated(rig),
    ambient: rig.ambient,
    instruments: rig.instruments.map((instrument) => instrumentRecord(instrument, facts)),
    notes: { ...facts.notes },
    ...(facts.standard && { standard: facts.standard }),
    ...(facts.reading && { readBefore: [facts.reading] }),
    // On the simulated lamp there is no bench that could change.
    ...(rig.after && !isSimulated(rig) && { after: notChecked('not checked', notEnded) }),
  };
}

function quarantineOf(spec: string, { quarantine }: DraftFacts): Pick<SpecRecord, 'quarantine'> {
  const own = quarantine?.get(spec);
  return own ? { quarantine: own } : {};
}

function harnessRecord({ commit, code }: DraftFacts): RunRecord['harness'] {
  const { node } = process.versions;
  return { version: harnessVersion, node, commit, ...(code && { code }) };
}

function selectionRecord({
  tags,
  paths,
  only = [],
  failedIn,
  shard,
}: DraftFacts): RunRecord['selection'] {
  return {
    tags: [...tags],
    paths: [...paths],
    ...(only.length > 0 && { only: [...only] }),
    ...(failedIn && { failedIn: failedIn.run }),
    ...(shard && { shard }),
  };
}

/** What the lamp cannot have is known before the run, and is not waited for. */
function beforeTheRun(unmet: string | null): Pick<SpecRecord, 'verdict' | 'reason'> {
  return unmet === null
    ? { verdict: 'not run', reason: notEnded }
    : { verdict: 'not applicable', reason: unmet };
}

function instrumentRecord(
  { name, driver, identity, calibration }: Rig['instruments'][number],
  { identities, startedAt, seed }: DraftFacts,
): RunRecord['rig']['instruments'][number] {
  const simulation = {
    maker: 'Evenfall',
    model: `simulated ${name}`,
    serial: `${seed}`,
    firmware: harnessVersion,
  };
  const stated = driver === 'plant' ? { ...simulation, ...identity } : identity;
  const found = identities.get(name) ?? stated;
  const known = (field: string | undefined): string => field ?? '';
  return {
    name,
    driver,
    simulated: driver === 'plant',
    identity: {
      maker: known(found.maker),
      model: known(found.model),
      serial: known(found.serial),
      firmware: known(found.firmware),
    },
    calibration: calibration
      ? {
          date: calibration.date,
          due: calibration.due,
          certificate: calibration.certificate,
          state: calibrationState(calibration.due, startedAt),
        }
      : null,
  };
}

/** ISO/IEC 17025:2017 7.8.2.1 n: what departs from the method is named; a simulated instrument does. */
function simulatedDeviation({ instruments }: Rig): RunRecord['deviations'] {
  const simulated = instruments.filter(({ driver }) => driver === 'plant').map(({ name }) => name);
  if (simulated.length === 0) return [];
  if (simulated.length === instruments.length)
    return [{ kind: 'simulation', text: 'all instruments are simulated' }];
  return [{ kind: 'simulated instruments', text: `simulated: ${simulated.join(', ')}` }];
}
