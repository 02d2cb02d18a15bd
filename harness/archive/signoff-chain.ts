import type { Problem } from './check-seal.ts';
import { clocksApart } from './clocks-apart.ts';
import { signoffsFolder } from './manifest.ts';
import { samePerson } from './person.ts';
import { releaseSuffix, testResultSuffix } from './signoff-files.ts';
import type { ReleaseStatement } from './statement.ts';

/** A release statement whose signature holds, and the file that it came from. */
export interface ChainLink {
  readonly file: string;
  readonly statement: ReleaseStatement;
}

interface Link {
  readonly file: string;
  readonly number: number;
  /** Files of sign-offs that it names. */
  readonly names: ReadonlySet<string>;
  readonly by: { readonly name: string; readonly key: string };
  /** ms since 1970. */
  readonly at: number;
}

/** Two who sign within this time of one another can hardly have seen the other's decision, ms. Common practice, no source. */
const sameTime = 10 * 60_000;
/**
 * Whether the sign-offs of a run are one chain: numbered from 1 without a gap, each naming every sign-off before it and none
 * after it, none older than those that it names. Two of one number were signed on two copies of the run: a fork, which stands
 * where both were signed at the same time, or where somebody decided later who knew both. A note then says so.
 */
export function chainProblems(links: readonly ChainLink[]): {
  readonly problems: readonly Problem[];
  readonly notes: readonly string[];
} {
  const chain = links.map(linkOf).sort((a, b) => a.number - b.number);
  const problems = chain.flatMap((link) => linkProblems(link, chain));
  const notes: string[] = [];
  for (const link of chain) {
    for (const twin of chain.slice(chain.indexOf(link) + 1)) {
      if (twin.number !== link.number) continue;
      const fork = forkOf(link, twin, chain);
      if (fork.stands) notes.push(`${link.file} and ${twin.file} ${fork.text}`);
      else problems.push({ file: twin.file, text: fork.text });
    }
  }
  return { problems, notes };
}

function linkOf({ file, statement: { subject, predicate } }: ChainLink): Link {
  const own = file.replace(releaseSuffix, testResultSuffix);
  const names = subject.map(({ name }) => name);
  return {
    file,
    number: numberOf(file),
    names: new Set(names.filter((name) => name.startsWith(`${signoffsFolder}/`) && name !== own)),
    by: predicate.signer,
    at: Date.parse(predicate.signedAt),
  };
}

/** NaN where a file has none. */
function numberOf(file: string): number {
  const digits = /^\d+(?=-)/.exec(file.slice(signoffsFolder.length + 1))?.[0];
  return digits === undefined ? Number.NaN : Number(digits);
}

function linkProblems(link: Link, chain: readonly Link[]): Problem[] {
  const { file, number, names, at } = link;
  const say = (text: string): Problem => ({ file, text });
  if (!Number.isInteger(number)) return [say('has no number: its place in the chain is not known')];
  const problems: Problem[] = [];
  const before = Math.max(0, ...[...names].map(numberOf).filter(Number.isInteger));
  if (number !== before + 1)
    problems.push(
      say(`has the number ${number}, but the last sign-off that it names has ${before}`),
    );
  for (const other of chain) {
    const isNamed = names.has(other.file);
    if (other.number < number && !isNamed)
      problems.push(
        say(
          `does not name ${other.file}, which its number puts before it: one of them was put in later or renamed`,
        ),
      );
    if (other.number >= number && other !== link && isNamed)
      problems.push(say(`names ${other.file}, which its number does not put before it`));
    if (isNamed && at < other.at - clocksApart)
      problems.push(say(`is dated before ${other.file}, which it names`));
  }
  return problems;
}

function forkOf(
  one: Link,
  other: Link,
  chain: readonly Link[],
): { readonly stands: boolean; readonly text: string } {
  const knowing = chain.filter(({ names }) => names.has(one.file) && names.has(other.file));
  const [later] = knowing;
  const knew = later ? `; ${later.file} was decided by somebody who knew both` : '';
  if (isSameSigner(one, other)) {
    if (knowing.some((link) => isSameSigner(link, one)))
      return { stands: true, text: `are both by ${one.by.name}, who signed again knowing both` };
    const text = `has the number of ${one.file}, and both are by ${other.by.name}: nobody can tell which was said last; ${one.by.name} has to sign again where both are`;
    return { stands: false, text };
  }
  if (Math.abs(one.at - other.at) <= sameTime)
    return { stands: true, text: `were signed at the same time, neither knowing the other${knew}` };
  if (later)
    return {
      stands: true,
      text: `were signed on two copies of the run, neither knowing the other${knew}`,
    };
  const text = `was signed on a copy of the run without ${one.file}, of the same number: neither signer knew the other's decision; somebody has to sign where both are`;
  return { stands: false, text };
}

function isSameSigner(one: Link, other: Link): boolean {
  return one.by.key === other.by.key || samePerson(one.by.name, other.by.name);
}
