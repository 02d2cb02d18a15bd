import type { Identity } from '../../bench/ports.ts';

/** Whether two names can be the same one; `unknown` where they cannot be compared. */
export type Fit = 'same' | 'other' | 'unknown';

interface Question {
  readonly what: 'model' | 'firmware' | 'serial';
  /** Where the wanted value comes from. */
  readonly option: string;
  readonly wanted: string | undefined;
  readonly fit: (said: string, wanted: string) => Fit;
}

interface Said {
  readonly link: string;
  readonly identity: Identity | null;
}

/** What the links say together about one question, in sentences. */
export function fitOf(
  all: readonly Said[],
  { what, option, wanted, fit }: Question,
): { readonly contradictions: readonly string[]; readonly doubts: readonly string[] } {
  if (wanted === undefined) return { contradictions: [], doubts: [] };
  const answers = all.flatMap(({ link, identity }) => {
    const said = identity?.[what] ?? '';
    return isBlank(said) ? [] : [{ link, said, fits: fit(said, wanted) }];
  });
  const others = answers.filter(({ fits }) => fits === 'other');
  const agreed = answers.some(({ fits }) => fits === 'same');
  const sentences = others.map(
    ({ link, said }) => `the lamp says ${what} ${said} on ${link}, but ${option} says ${wanted}`,
  );
  if (others.length > 0)
    return agreed
      ? { contradictions: [], doubts: sentences }
      : { contradictions: sentences, doubts: [] };
  const unproved = `the lamp cannot confirm ${what} ${wanted} of ${option}`;
  const words = answers.map(({ link, said }) => `on ${link} it says ${said}`).join(', ');
  return {
    contradictions: [],
    doubts: agreed ? [] : [words === '' ? unproved : `${unproved}: ${words}`],
  };
}

/** Nothing, or what IEEE 488.2 has instruments say in place of what they do not know. */
function isBlank(text: string): boolean {
  return /^[\s0.]*$/.test(text) || /^(none|unknown|n\/a|-+|\?+)$/i.test(text.trim());
}

export function modelFit(said: string, wanted: string): Fit {
  const [one, other] = [plain(said), plain(wanted)];
  if (one === other) return 'same';
  // "Alcove-6 rev B" is an alcove-6, and no alcove-60.
  const [short = '', long = ''] = [one, other].sort((a, b) => a.length - b.length);
  return short !== '' && long.startsWith(short) && !/^\d/.test(long.slice(short.length))
    ? 'same'
    : 'other';
}

export function serialFit(said: string, wanted: string): Fit {
  const [one, other] = [said, wanted].map((text) => plain(text).replace(/^0+/, ''));
  if (one === other) return 'same';
  // A memory bank holds a number; people write it in either way.
  const hex = (text = ''): string => (/^\d+$/.test(text) ? BigInt(text).toString(16) : '');
  if (hex(one) === other || hex(other) === one) return 'same';
  // The number of the gear in a lamp need not be in the lamp's own series, which has letters.
  const isNumber = (text = ''): boolean => /^\d*$/.test(text);
  return isNumber(one) === isNumber(other) ? 'other' : 'unknown';
}

/** Versions are compared as far as both go; other names by their letters. */
export function versionFit(said: string, wanted: string): Fit {
  const [one, other] = [versionIn(said), versionIn(wanted)];
  if (one && other) {
    const places = Math.min(one.parts.length, other.parts.length);
    if (one.parts.slice(0, places).join('.') !== other.parts.slice(0, places).join('.'))
      return 'other';
    return one.rest !== '' && other.rest !== '' && one.rest !== other.rest ? 'other' : 'same';
  }
  const [first, second] = [plain(said), plain(wanted)];
  if (first !== '' && (first.includes(second) || second.includes(first))) return 'same';
  return isHash(first) && isHash(second) ? 'other' : 'unknown';
}

function versionIn(
  text: string,
): { readonly parts: readonly number[]; readonly rest: string } | null {
  const found = /(\d+(?:\.\d+)+)(.*)$/.exec(text);
  if (!found) return null;
  const [, numbers = '', rest = ''] = found;
  return { parts: numbers.split('.').map(Number), rest: plain(rest) };
}

function isHash(text: string): boolean {
  return /^[0-9a-f]{7,40}$/.test(text) && /\d/.test(text);
}

function plain(text: string): string {
  return text.toLowerCase().replace(/[^a-z0-9]/g, '');
}
