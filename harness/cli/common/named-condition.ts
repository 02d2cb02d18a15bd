import { namesCondition } from '../../record/condition-words.ts';
import type { ConditionRecord, RunRecord, SpecRecord } from '../../record/run-record.ts';
import { findingsWorstFirst } from '../../report/words/worst-first.ts';
import { Complaint } from '../../workflow/complaint.ts';

/** Names that a message offers. */
const mostNamed = 8;

/** The claim of a run that is named, alone or behind its folder; where none is, the only one, or the only one that failed. */
export function namedClaim({ specs }: RunRecord, wanted: string | undefined): SpecRecord {
  const ran = specs.filter(({ conditions }) => conditions.length > 0);
  const meant = ran.filter(
    ({ spec, folder }) => wanted === undefined || spec === wanted || `${folder}/${spec}` === wanted,
  );
  const failed = meant.filter(({ verdict }) => verdict === 'fail');
  const [only, ...others] = wanted === undefined && failed.length === 1 ? failed : meant;
  if (only && others.length === 0) return only;
  const names = (failed.length > 0 ? failed : ran).map(({ spec, folder }) => `${folder}/${spec}`);
  const found = wanted === undefined ? `no --claim, and the run has ${ran.length}` : `"${wanted}"`;
  throw new Complaint(
    wanted === undefined ? 'usage' : 'no-input',
    `expected one claim of the run, found ${found}; name one: ${names.slice(0, mostNamed).join(', ')}${names.length > mostNamed ? ', …' : ''}`,
  );
}

/** The condition of a claim that is named, of its repeats the worst; else that of its worst finding. */
export function namedCondition(spec: SpecRecord, wanted: string | undefined): ConditionRecord {
  const { conditions } = spec;
  const isMeant = ({ key }: ConditionRecord) => wanted === undefined || namesCondition(wanted, key);
  const worst = findingsWorstFirst(spec).find(({ condition }) => isMeant(condition));
  const found = worst?.condition ?? conditions.find(isMeant);
  if (found) return found;
  const keys = conditions.map(({ key }) => `"${key}"`).slice(0, mostNamed);
  throw new Complaint(
    'no-input',
    `expected a condition of ${spec.spec}, found "${wanted}"; it has: ${keys.join(', ')}`,
  );
}
