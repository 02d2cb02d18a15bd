import type { Issue } from '../../harness/files/issue.ts';
import { IssueList } from '../../harness/files/issue-list.ts';
import { readYaml } from '../../harness/files/read-yaml.ts';
import { unknownPlaces } from './fill-template.ts';
import { type DigitiserProfile, type Profile, profileSchema } from './profile-schema.ts';

export type ReadProfile = { readonly profile: Profile } | { readonly issues: readonly Issue[] };

/** The places that each message may have; messages that are not listed have none. */
const places: Readonly<Record<string, readonly string[]>> = {
  'digitiser set-up': ['rate', 'samples', 'duration', 'nonce'],
  'digitiser each-input': ['rate', 'samples', 'duration', 'nonce', 'input', 'range'],
  'digitiser preamble': ['input'],
  'digitiser data': ['input', 'first', 'last', 'count'],
  'supply volts': ['volts'],
  'supply limit': ['amps'],
  'chamber set-point': ['celsius'],
  'colour-sensor set-up': ['integration'],
  'spectrometer set-up': ['integration'],
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
    checkRanges(profile, list);
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

/** What is to be the lower end lies below the upper one. */
function checkRanges(profile: Profile, list: IssueList): void {
  const rise = (path: readonly string[], low = Number.NaN, high = Number.NaN, unit = ''): void => {
    if (!(low >= high)) return;
    list.add(path, `expected more than the lower end (${low}${unit}), found ${high}${unit}`);
  };
  if (profile.kind === 'digitiser')
    rise(['scale', 'highest'], profile.scale?.lowest, profile.scale?.highest);
  if (profile.kind === 'chamber') rise(['highest'], profile.lowest, profile.highest, ' °C');
  if (profile.kind !== 'colour-sensor' && profile.kind !== 'spectrometer') return;
  // One and the same for both is an instrument with a fixed time.
  const { 'shortest-integration': shortest, 'longest-integration': longest } = profile;
  if (shortest > longest) rise(['longest-integration'], shortest, longest, ' s');
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
    checkNonce(profile, list);
    checkPieces(profile, list);
  }
  if (profile.kind === 'spectrometer') {
    const { wavelengths, state, 'saturated-at': most } = profile;
    if (wavelengths.from >= wavelengths.to)
      list.add(['wavelengths', 'to'], `expected more than ${wavelengths.from}`);
    if (!state && most === undefined)
      list.add(
        [],
        'expected "state" or "saturated-at": a spectrum that is clipped looks like another colour',
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

/** A record that comes in pieces needs to be told which; one that does not has no place for it. */
function checkPieces({ data }: DigitiserProfile, list: IssueList): void {
  const { query, pieces } = data;
  for (const [index, message] of (pieces?.select ?? []).entries()) {
    const [place] = unknownPlaces(message, places['digitiser data'] ?? []);
    if (place !== undefined)
      list.add(
        ['data', 'pieces', 'select', index],
        `expected {input}, {first}, {last} or {count} here, found {${place}}`,
      );
  }
  const placed = [query, ...(pieces?.select ?? [])].some((text) =>
    /\{(first|last|count)\}/.test(text),
  );
  if (placed === (pieces !== undefined)) return;
  list.add(
    ['data'],
    pieces
      ? 'expected {first} in "query" or "select": nothing says which piece is asked for'
      : 'expected "pieces", which says how many samples {first}, {last} or {count} stand for',
  );
}

/** What is set for a record has to be set somewhere, and to be shown. */
function checkNonce({ fresh = [], preamble, ...profile }: DigitiserProfile, list: IssueList): void {
  const shown = fresh.filter((proof) => 'shown' in proof);
  const messages = [...profile['set-up'], ...profile['each-input']];
  const isSet = messages.some((message) => message.includes('{nonce}'));
  if (shown.length > 0 !== isSet)
    list.add(
      ['fresh'],
      'expected {nonce} in "set-up" or "each-input", and figures for it in "fresh", found one of them',
    );
  for (const proof of shown) {
    if (new Set(proof.nonce).size < proof.nonce.length)
      list.add(['fresh'], 'expected every figure of "nonce" once');
    if ('field' in proof.shown && !preamble?.fields.includes(proof.shown.field))
      list.add(
        ['fresh'],
        `expected ${proof.shown.field} in the preamble, where the nonce is shown`,
      );
  }
}
