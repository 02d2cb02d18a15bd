/** A name of a build as a version, by what it is compared. */
interface Version {
  readonly numbers: readonly number[];
  /** Commits since the tag, as git describe counts them. */
  readonly commits: number;
  /** Of a version that comes before the one of its numbers. */
  readonly before: readonly string[] | null;
}

const versionName =
  /^v?(\d+(?:\.\d+)+)(?:-(\d+)-g[0-9a-f]{4,40}(?:-dirty)?|-([0-9a-z-]+(?:\.[0-9a-z-]+)*))?(?:\+[0-9a-z.-]+)?$/i;

/**
 * How builds follow each other by their names, as a comparison for sorting, oldest first; null where one of them is no version. The order
 * is that of Semantic Versioning 2.0.0, clause 11 (from memory), for any number of numbers: `1.8.0-rc.1` comes before `1.8.0`. What git
 * describe makes, `1.8.0-14-g2414721`, comes behind it (common practice, no source).
 */
export function orderByVersion(
  builds: Iterable<string>,
): ((a: string, b: string) => number) | null {
  const versions = new Map<string, Version>();
  for (const build of builds) {
    const version = versionOf(build);
    if (!version) return null;
    versions.set(build, version);
  }
  return (a, b) => {
    const [one, other] = [versions.get(a), versions.get(b)];
    return one && other ? compareVersions(one, other) : 0;
  };
}

function versionOf(build: string): Version | null {
  const [, numbers, commits, before] = versionName.exec(build) ?? [];
  if (numbers === undefined) return null;
  return {
    numbers: numbers.split('.').map(Number),
    commits: Number(commits ?? 0),
    before: before?.split('.') ?? null,
  };
}

function compareVersions(a: Version, b: Version): number {
  for (let k = 0; k < Math.max(a.numbers.length, b.numbers.length); k++) {
    const difference = (a.numbers[k] ?? 0) - (b.numbers[k] ?? 0);
    if (difference !== 0) return difference;
  }
  if (a.before && b.before) return compareIdentifiers(a.before, b.before);
  if (a.before || b.before) return a.before ? -1 : 1;
  return a.commits - b.commits;
}

function compareIdentifiers(a: readonly string[], b: readonly string[]): number {
  for (const [k, one] of a.entries()) {
    const other = b[k];
    if (other === undefined) return 1;
    const difference = compareIdentifier(one, other);
    if (difference !== 0) return difference;
  }
  return a.length - b.length;
}

/** Numbers by their size, and before all words. */
function compareIdentifier(a: string, b: string): number {
  const [isNumber, isOther] = [a, b].map((text) => /^\d+$/.test(text));
  if (isNumber && isOther) return Number(a) - Number(b);
  if (isNumber !== isOther) return isNumber ? -1 : 1;
  if (a === b) return 0;
  return a < b ? -1 : 1;
}
