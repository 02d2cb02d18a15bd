import unhomoglyph from 'unhomoglyph';

/** A name as it is compared: composition, width, case and spaces do not make another person (UAX #15, form NFKC). */
function plain(name: string): string {
  return name.normalize('NFKC').trim().replace(/\s+/gu, ' ').toLowerCase();
}

/**
 * What a name looks like: letters of all scripts that are taken for one another become one, and what is not seen is left out
 * (UTS #39, clause 4, skeletons; the table of the package unhomoglyph). A capital I looks like an l and is the capital of an i:
 * a name has a look by its own letters, and one by its small ones.
 */
function looksOf(name: string): readonly string[] {
  const seen = name.replace(/\p{Default_Ignorable_Code_Point}/gu, '');
  const own = unhomoglyph(seen.normalize('NFKC'));
  return [unhomoglyph(plain(seen)), unhomoglyph(plain(own))];
}

/** Names that differ only in what nobody sees are one: nobody approves themselves with a letter of another script. */
export function samePerson(a: string, b: string): boolean {
  const looks = looksOf(b);
  return looksOf(a).some((look) => looks.includes(look));
}

/** The name itself, and not one that only looks like it. */
export function sameName(a: string, b: string): boolean {
  return plain(a) === plain(b);
}

/** Nothing in it can be seen: it names nobody. */
export function looksEmpty(name: string): boolean {
  return name.replace(/[\p{Default_Ignorable_Code_Point}\p{C}\s]/gu, '') === '';
}

/** Why a text is no name that can be printed on a report; null where it is one. */
export function badName(name: string): string | null {
  const found = /[\p{C}\p{Default_Ignorable_Code_Point}]/u.exec(name);
  if (!found) return null;
  const code = (found[0].codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, '0');
  return `expected a name that can be read, found the character U+${code} in it`;
}
