import type { Issue } from '../../harness/files/issue.ts';
import { IssueList } from '../../harness/files/issue-list.ts';
import { readYaml } from '../../harness/files/read-yaml.ts';
import { unknownPlaces } from './fill-template.ts';
import { type Profile, profileSchema } from './profile-schema.ts';

export type ReadProfile = { readonly profile: Profile } | { readonly issues: readonly Issue[] };

/** The places that each message may have; messages that are not listed have none. */
const places: Readonly<Record<string, readonly string[]>> = {
  'digitiser set-up': ['rate', 'samples', 'duration'],
  'digitiser each-input': ['rate', 'samples', 'duration', 'input', 'range'],
  'digitiser preamble': ['input'],
  'digitiser data': ['input'],
  'supply volts': ['volts'],
  'supply limit': ['amps'],
  'colour-sensor set-up': ['integration'],
};

/** Reads the text of an instrument profile; every issue at once, with its place. */
export function readProfile(text: string, file: string): ReadProfile {
  const { yaml, issues } = readYaml(text, file);
  if (!yaml) return { issues };
  const list = new IssueList(yaml, issues);
  const profile = list.parse(profileSchema, yaml.value);
  if (profile) {
    checkPlaces(profile, list);
    checkReadings(profile, list);
  }
  return profile && list.count === 0 ? { profile } : { issues: list.sorted() };
}

function checkPlaces(profile: Profile, list: IssueList): void {
  for (const [key, value] of Object.entries(profile)) {
    const known = places[`${profile.kind} ${key}`] ?? [];
    const told = (text: unknown, path: readonly (string | number)[]): void => {
      if (typeof text !== 'string' || key === 'about') return;
      const [place] = unknownPlaces(text, known);
      if (place === undefined) return;
      const allowed = known.map((each) => `{${each}}`).join(', ') || 'no place at all';
      list.add(path, `expected ${allowed} here, found {${place}}`);
    };
    if (Array.isArray(value)) for (const [index, each] of value.entries()) told(each, [key, index]);
    else if (typeof value === 'object' && value !== null && 'query' in value)
      told(value.query, [key, 'query']);
    else told(value, [key]);
  }
}

/** What the fields of an answer must hold between them. */
function checkReadings(profile: Profile, list: IssueList): void {
  if (profile.kind === 'digitiser') {
    const { preamble, scale, data } = profile;
    if (!preamble?.fields.includes('scale') && !scale && data.encoding !== 'text')
      list.add(
        ['data'],
        'expected a scale for the codes; add scale to the preamble, or a "scale" of its own',
        'key',
      );
  }
  if (profile.kind === 'colour-sensor') {
    const { fields, states } = profile.read;
    const has = (...wanted: (typeof fields)[number][]): boolean =>
      wanted.every((field) => fields.includes(field));
    if (!has('X', 'Y', 'Z') && !has('x', 'y', 'Y'))
      list.add(['read', 'fields'], `expected X, Y, Z or x, y, Y, found ${fields.join(', ')}`);
    if (has('state') !== (states !== undefined))
      list.add(['read'], 'expected "states" and the field state together, found one of them');
  }
}
