import { kindOf, merged, type Row, rowsOf, type Schema, valuesOf } from './schema-rows.ts';

/** A schema as a table in Markdown: a row a key. */
export function schemaTable(rows: readonly Row[]): string {
  const lines = merged(rows).map(({ path, schema, isRequired, kinds }) => {
    const of = kinds ? ` (${kinds.join(', ')})` : '';
    const needed = (isRequired ? 'yes' : usual(schema)) + of;
    const cells = [`\`${path}\``, needed, allowed(schema), about(schema)];
    return `| ${cells.map((cell) => cell.replaceAll('|', '\\|')).join(' | ')} |`;
  });
  return ['| key | needed | value | meaning |', '|---|---|---|---|', ...lines].join('\n');
}

/** What holds where the file says nothing. */
function usual({ default: value }: Schema): string {
  if (value === undefined || typeof value === 'object') return 'no';
  return `no; \`${String(value)}\``;
}

function allowed(schema: Schema): string {
  const values = valuesOf(schema);
  if (values.length > 0) return values.map((value) => `\`${String(value)}\``).join(', ');
  const { examples = [], minimum, maximum } = schema;
  if (examples.length > 0) return `as \`${String(examples[0])}\``;
  const type = [schema.type ?? []].flat().join(' or ');
  // Without a limit of their own, whole numbers have that of the computer.
  const isWide = maximum === undefined || maximum >= Number.MAX_SAFE_INTEGER;
  const least =
    minimum === undefined || minimum <= Number.MIN_SAFE_INTEGER ? '' : ` from ${minimum}`;
  return `${words[type] ?? type}${least}${isWide ? '' : ` to ${maximum}`}`;
}

const words: Readonly<Record<string, string>> = {
  string: 'text',
  integer: 'whole number',
  boolean: '`true` or `false`',
  array: 'list',
  object: 'keys below',
};

function about({ description = '' }: Schema): string {
  return description.replace(/\s+/g, ' ');
}

/** Alternatives that are told apart by driver or kind: a table of what all of them have, then one of each. */
export function alternativeTables(schema: Schema, level: string): string {
  const all = [...(schema.anyOf ?? []), ...(schema.oneOf ?? [])];
  const isShared = ({ path }: Row): boolean => {
    const key = path.split('.')[0]?.replace('[]', '') ?? '';
    return (
      !['driver', 'kind'].includes(key) && all.every(({ properties = {} }) => key in properties)
    );
  };
  const shared = all.slice(0, 1).flatMap((one) => rowsOf(one).filter(isShared));
  const own = all.map((one) => {
    const rows = rowsOf(one).filter((row) => !isShared(row));
    return `${level} ${kindOf(one) || 'a module of your own'}\n\n${schemaTable(rows)}`;
  });
  return [schemaTable(shared), ...own].join('\n\n');
}
