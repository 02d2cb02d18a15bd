/** Places that a message may have, by where it stands in a profile. */
export type Fields = Readonly<Record<string, string | number>>;

/** `ACQ:RATE {rate}` with its places filled. Numbers go out as decimals without exponent (NR1 or NR2). */
export function fillTemplate(template: string, fields: Fields): string {
  return template.replace(/\{(\w+)\}/g, (whole, field: string) => {
    const value = fields[field];
    if (value === undefined) return whole;
    return typeof value === 'number' ? decimal(value) : value;
  });
}

/** The places of a template that nothing fills. */
export function unknownPlaces(template: string, known: readonly string[]): string[] {
  return [...template.matchAll(/\{(\w*)\}/g)]
    .map((match) => match[1] ?? '')
    .filter((place) => !known.includes(place));
}

/** Nine significant digits: more than any instrument sets. */
function decimal(value: number): string {
  const short = Number(value.toPrecision(9));
  const text = String(short);
  return text.includes('e') ? short.toFixed(15).replace(/0+$/, '') : text;
}
