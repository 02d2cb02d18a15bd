/** Licences that let everybody use, change and pass on what is installed with Evenfall; names as in the SPDX list. */
const permissive: ReadonlySet<string> = new Set([
  '0BSD',
  'Apache-2.0',
  'BSD-2-Clause',
  'BSD-3-Clause',
  'ISC',
  'MIT',
  'MIT-0',
]);

/** Of tools that only work on Evenfall, and of their data: nothing of them is passed on. */
const ofTools: ReadonlySet<string> = new Set([
  ...permissive,
  'BlueOak-1.0.0',
  'CC-BY-4.0',
  'CC0-1.0',
  'MPL-2.0',
  'Python-2.0',
]);

/** Packages that state their licence in a file alone; read by a person. */
const readByHand: Readonly<Record<string, string>> = { jstat: 'MIT' };

interface LockedPackage {
  readonly name: string;
  readonly version: string;
  /** SPDX expression; null where the package states none. */
  readonly licence: string | null;
  /** It is installed with Evenfall, and not only for work on it. */
  readonly isShipped: boolean;
}

/** Every package of a `package-lock.json` (version 3), those for other platforms too. */
export function lockedPackages(lock: string): LockedPackage[] {
  const { packages } = JSON.parse(lock) as {
    readonly packages: Readonly<
      Record<
        string,
        { readonly version?: string; readonly license?: string; readonly dev?: boolean }
      >
    >;
  };
  return Object.entries(packages)
    .filter(([path]) => path !== '')
    .map(([path, { version = '', license, dev = false }]) => {
      const name = path.slice(path.lastIndexOf('node_modules/') + 'node_modules/'.length);
      return { name, version, licence: license ?? readByHand[name] ?? null, isShipped: !dev };
    });
}

/** A sentence for each package whose licence is not allowed. */
export function refusedLicences(packages: readonly LockedPackage[]): string[] {
  return packages.flatMap(({ name, version, licence, isShipped }) => {
    const allowed = isShipped ? permissive : ofTools;
    if (licence !== null && isAllowed(licence, allowed)) return [];
    const expected = `expected one of ${[...allowed].join(', ')}`;
    return [`${name} ${version}: ${expected}, found ${licence ?? 'none stated'}`];
  });
}

/** `(A OR B) AND C`, without deeper parentheses: of each side of AND one will do. */
function isAllowed(expression: string, allowed: ReadonlySet<string>): boolean {
  return expression.split(/\s+AND\s+/).every((side) =>
    side
      .replace(/[()]/g, '')
      .split(/\s+OR\s+/)
      .some((name) => allowed.has(name.trim())),
  );
}
