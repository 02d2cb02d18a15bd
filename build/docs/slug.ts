/** The anchor of a heading, as forges make it, so that `page.md#glossary` leads there in a plain viewer too. */
export function slugOf(heading: string, taken: Set<string>): string {
  const plain = heading
    .toLowerCase()
    .replace(/[^\p{L}\p{N}\s_-]/gu, '')
    .replace(/\s/g, '-');
  let slug = plain;
  for (let n = 1; taken.has(slug); n++) slug = `${plain}-${n}`;
  taken.add(slug);
  return slug;
}
