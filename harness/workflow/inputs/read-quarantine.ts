import * as z from 'zod';
import { IssueList } from '../../files/issue-list.ts';
import { readYaml } from '../../files/read-yaml.ts';
import { name, words } from '../../files/schema-parts.ts';
import type { Quarantine } from '../../record/quarantine.ts';
import { BadFiles } from './bad-files.ts';
import { readFile } from './read-file.ts';

/** Days ahead that a quarantine may end at most: what is forgotten longer is switched off. */
const longest = 90;
const day = 86_400_000;

const entry = z.strictObject({
  claim: name('The claim, by the name of its spec.'),
  owner: words('Who looks after it.'),
  reason: words('Why it does not hold.'),
  until: z.iso.date().meta({ description: 'Last day of the quarantine (UTC), YYYY-MM-DD.' }),
});
const schema = z.strictObject({ quarantine: z.array(entry).max(1000) });

export interface ReadQuarantine {
  /** By claim. */
  readonly held: ReadonlyMap<string, Quarantine>;
  /** Those that have ended: their claims count again. */
  readonly ended: readonly (Quarantine & { readonly claim: string })[];
}

/** Reads a quarantine file as it stands on a day, YYYY-MM-DD. Throws BadFiles with every mistake in it. */
export function readQuarantine(path: string, cwd: string, today: string): ReadQuarantine {
  const { text, file } = readFile(path, cwd);
  const { yaml, issues } = readYaml(text, file);
  if (!yaml) throw new BadFiles(issues, 'nothing was run');
  const list = new IssueList(yaml, issues);
  const parsed = list.parse(schema, yaml.value);
  const last = new Date(Date.parse(today) + longest * day).toISOString().slice(0, 10);
  const known = new Set<string>();
  for (const [place, { claim, until }] of (parsed?.quarantine ?? []).entries()) {
    if (known.has(claim)) list.add(['quarantine', place, 'claim'], `${claim} is there twice`);
    known.add(claim);
    if (until > last)
      list.add(
        ['quarantine', place, 'until'],
        `expected a day at most ${longest} days ahead (${last}), found ${until}; renew it then, or mend the lamp`,
      );
  }
  if (!parsed || list.count > 0) throw new BadFiles(list.sorted(), 'nothing was run');
  const entries = parsed.quarantine.map(({ claim, ...own }) => ({ claim, ...own }));
  const isOver = ({ until }: Quarantine): boolean => until < today;
  return {
    held: new Map(entries.filter((one) => !isOver(one)).map(({ claim, ...own }) => [claim, own])),
    ended: entries.filter(isOver),
  };
}
