import { didYouMean, nearestWords } from '../../files/did-you-mean.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Shard } from '../../record/shard-record.ts';
import { Complaint } from '../complaint.ts';
import type { Part } from './shard.ts';

/** Which specs are run. */
export interface Selection {
  /** Spec files, and folders of them. */
  readonly paths: readonly string[];
  /** Specs with any of these; all specs when empty. */
  readonly tags: readonly string[];
  /** Claims by their names, alone or behind their folders (`fading/fades-on-time`); all claims when absent or empty. */
  readonly only?: readonly string[] | undefined;
  /** Claims that did not pass in a stored run: of the specs, only these are run. */
  readonly failedIn?: FailedIn | undefined;
  /** Only this part of them: other runs have the others. */
  readonly part?: Part | undefined;
  /** Only these of them, which somebody else has made a shard of. */
  readonly assigned?: AssignedShard | undefined;
}

interface AssignedShard {
  readonly shard: Shard;
  /** Claims. */
  readonly claims: readonly string[];
}

/** The claims of a stored run that did not pass. */
export interface FailedIn {
  /** Id of the run. */
  readonly run: string;
  readonly claims: readonly string[];
}

/** Names that a message offers for one that no spec has. */
const mostOffered = 3;

/** The claims that a run is of. Throws a Complaint where a name is of no spec, or where nothing is left to run. */
export function selectPlans(selection: Selection, read: readonly Plan[]): readonly Plan[] {
  const { tags, paths, only = [], failedIn } = selection;
  const where = paths.join(', ');
  if (read.length === 0)
    throw new Complaint('no-input', `expected *.spec.yaml files in ${where}, found none`);
  for (const name of only)
    if (!read.some((plan) => isCalled(plan, name))) throw unknown(name, where, read);
  const named = read
    .filter((plan) => only.length === 0 || only.some((name) => isCalled(plan, name)))
    .filter(({ spec }) => !failedIn || failedIn.claims.includes(spec));
  if (failedIn && named.length === 0) throw noneLeft(failedIn, where);
  const plans = named.filter(
    (plan) => tags.length === 0 || tags.some((tag) => plan.tags.includes(tag)),
  );
  if (plans.length === 0) throw withoutTag(selection, named);
  return plans;
}

function isCalled({ spec, folder }: Plan, name: string): boolean {
  return name === spec || name === `${folder}/${spec}`;
}

function unknown(name: string, where: string, read: readonly Plan[]): Complaint {
  const names = read.map(({ spec }) => spec);
  const near = nearestWords(name.slice(name.lastIndexOf('/') + 1), names, mostOffered).join(', ');
  const nearest = names.length > mostOffered ? `the nearest names are ${near}` : `there is ${near}`;
  const found = `none of the ${read.length} specs in ${where} is called ${JSON.stringify(name)}`;
  return new Complaint('usage', `${found}; ${nearest}`);
}

function noneLeft({ run, claims }: FailedIn, where: string): Complaint {
  const text = `none of the claims that did not pass in run ${run} (${claims.join(', ')}) is among the specs in ${where}`;
  return new Complaint('usage', `${text}; name their files or folders`);
}

function withoutTag({ tags, paths }: Selection, named: readonly Plan[]): Complaint {
  const known = [...new Set(named.flatMap((plan) => plan.tags))].sort();
  const hint = tags.map((tag) => didYouMean(tag, known)).find((text) => text !== '') ?? '';
  const found = `none of the ${named.length} specs in ${paths.join(', ')} has the tag ${tags.join(' or ')}`;
  const list = `their tags are ${known.join(', ') || 'none'}`;
  return new Complaint('usage', `${found}; ${list}${hint}`);
}
