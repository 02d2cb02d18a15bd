/** The parts of a JSON Schema that a reference tells of. */
export interface Schema {
  readonly type?: string | readonly string[];
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly default?: unknown;
  readonly examples?: readonly unknown[];
  readonly description?: string;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly required?: readonly string[];
  readonly additionalProperties?: boolean | Schema;
  readonly propertyNames?: Schema;
  readonly items?: boolean | Schema;
  readonly anyOf?: readonly Schema[];
  readonly oneOf?: readonly Schema[];
}

/** A key of a file, with the keys that it stands in: `wiring[].dark.noise`. */
export interface Row {
  readonly path: string;
  readonly schema: Schema;
  readonly isRequired: boolean;
  /** Kinds that have the key, where others of the same place have it not. */
  readonly kinds?: readonly string[];
}

/** Every key of a schema below `path`, each before what stands in it. `*` stands for a name that the writer chooses. */
export function rowsOf(schema: Schema, path = ''): readonly Row[] {
  const { properties = {}, required = [], additionalProperties, items } = schema;
  const join = (name: string): string => (path === '' ? name : `${path}.${name}`);
  return [
    ...Object.entries(properties).flatMap(([name, own]) => [
      { path: join(name), schema: own, isRequired: required.includes(name) },
      ...rowsOf(own, join(name)),
    ]),
    ...(typeof additionalProperties === 'object' ? below(additionalProperties, join('*')) : []),
    ...(typeof items === 'object' ? below(items, `${path}[]`) : []),
    ...alternativeRows([...(schema.anyOf ?? []), ...(schema.oneOf ?? [])], path),
  ];
}

/** Of alternatives that are told apart by their `kind`, a key says which of them have it. */
function alternativeRows(alternatives: readonly Schema[], path: string): readonly Row[] {
  const each = alternatives.map((one) => ({ kind: kindOf(one), rows: rowsOf(one, path) }));
  const isCommon = (row: Row): boolean =>
    each.every(({ rows }) => rows.some((other) => other.path === row.path));
  return each.flatMap(({ kind, rows }) =>
    rows.map((row) =>
      kind === '' || row.kinds || isCommon(row) ? row : { ...row, kinds: [kind] },
    ),
  );
}

/** `scpi`, or `plant, supply`: what an alternative is told apart by. */
export function kindOf({ properties = {} }: Schema): string {
  return [properties['driver']?.const, properties['kind']?.const]
    .filter((value) => value !== undefined)
    .join(', ');
}

function below(schema: Schema, path: string): readonly Row[] {
  const isPlain = schema.description !== undefined && schema.properties === undefined;
  return isPlain ? [{ path, schema, isRequired: false }] : rowsOf(schema, path);
}

/** Keys that several alternatives share stand once; what they are differently, one after the other. */
export function merged(rows: readonly Row[]): readonly Row[] {
  const byPath = new Map<string, Row>();
  for (const row of rows) {
    const known = byPath.get(row.path);
    byPath.set(row.path, known ? both(known, row) : row);
  }
  return [...byPath.values()];
}

function both(first: Row, second: Row): Row {
  const values = [...valuesOf(first.schema), ...valuesOf(second.schema)];
  const schema = {
    ...second.schema,
    ...first.schema,
    ...(values.length > 0 && { enum: [...new Set(values)] }),
  };
  const kinds = [...new Set([...(first.kinds ?? []), ...(second.kinds ?? [])])];
  return {
    path: first.path,
    schema,
    isRequired: first.isRequired && second.isRequired,
    ...(kinds.length > 0 && { kinds }),
  };
}

/** The words or figures that are allowed, where they are a list. */
export function valuesOf(schema: Schema): readonly unknown[] {
  return schema.enum ?? (schema.const === undefined ? [] : [schema.const]);
}
