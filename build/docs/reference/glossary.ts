/** Rows of the code alone, by their first word: users meet these words nowhere. */
const ofTheCode: ReadonlySet<string> = new Set([
  'capture id',
  'capture plan',
  'doubt',
  'explanation',
  'model lamp',
  'place',
  'pulse',
  'schedule',
  'signature',
  'world',
]);

/** The users' rows of the glossary in DEVELOPERS.md, in its order: from what is tested to who may release it. */
export function glossaryTable(developers: string): string {
  const [, section = ''] = /^## Glossary\n(.*?)(?=^## )/ms.exec(developers) ?? [];
  const rows = section.match(/^\|.*\|$/gm) ?? [];
  return rows
    .filter((row) => !ofTheCode.has(/^\| ([^,|]+?)(,| \|)/.exec(row)?.[1] ?? ''))
    .join('\n');
}
