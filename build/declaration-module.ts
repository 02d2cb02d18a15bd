// Of Vitest, which hands on the parser of its bundler: no further package is needed.
import { parseAst } from 'vitest/node';

/** One statement of a declaration file, and the names that it speaks of. */
interface Declaration {
  readonly text: string;
  readonly speaksOf: readonly string[];
}

/** A name that comes from another file (`from`) or, where that is null, from this one. */
export interface Found {
  readonly from: string | null;
  readonly name: string;
  readonly statement: string;
}

/** What a declaration file declares, imports and exports, by name. */
export interface DeclarationModule {
  readonly declarations: ReadonlyMap<string, readonly Declaration[]>;
  readonly imports: ReadonlyMap<string, Found>;
  readonly exports: ReadonlyMap<string, Found>;
}

/** Any node of the parser's tree. */
interface Node {
  readonly type: string;
  readonly start: number;
  readonly end: number;
  readonly [field: string]: unknown;
}

/** Throws where the compiler wrote something that a roll-up does not know. */
export function parseDeclarations(file: string, text: string): DeclarationModule {
  const body = parseAst(text, { lang: 'dts' }, file).body as unknown as readonly Node[];
  const tables = tablesOf(body);
  const declarations = new Map<string, Declaration[]>();
  const imports = new Map<string, Found>();
  const exports = new Map<string, Found>();
  let before = 0;
  for (const statement of body) {
    const [doc] = text.slice(before, statement.start).match(lastDoc) ?? [];
    before = statement.end;
    const said = text.slice(statement.start, statement.end);
    if (statement.type === 'ImportDeclaration') {
      for (const [local, found] of specifiers(statement, said)) imports.set(local, found);
      continue;
    }
    const declared = statement['declaration'] as Node | null | undefined;
    if (statement.type === 'ExportNamedDeclaration' && !declared) {
      for (const [name, found] of specifiers(statement, said)) exports.set(name, found);
      continue;
    }
    const declaration = declared ?? statement;
    const words = doc ? `${doc}\n` : '';
    const keys = tables.get(tableBehind(declaration) ?? '');
    const entry = keys
      ? {
          text: `${words}type ${namesOf(declaration, file)[0]} = ${keys.join(' | ')};`,
          speaksOf: [],
        }
      : {
          text: words + text.slice(declaration.start, statement.end),
          speaksOf: [...spokenOf(declaration, file)],
        };
    for (const name of namesOf(declaration, file)) {
      declarations.set(name, [...(declarations.get(name) ?? []), entry]);
      if (declared) exports.set(name, { from: null, name, statement: '' });
    }
  }
  return { declarations, imports, exports };
}

/** The keys of every constant that is an object, quoted. */
function tablesOf(body: readonly Node[]): ReadonlyMap<string, readonly string[]> {
  const tables = new Map<string, readonly string[]>();
  for (const statement of body) {
    const declared = inner(statement, 'declaration') ?? statement;
    for (const { id } of (declared['declarations'] ?? []) as readonly { readonly id: Node }[]) {
      const members = inner(id, 'typeAnnotation', 'typeAnnotation')?.['members'];
      if (Array.isArray(members)) tables.set(nameOf(id), members.map(keyOf));
    }
  }
  return tables;
}

function keyOf(member: Node): string {
  const key = inner(member, 'key');
  return JSON.stringify(key?.['name'] ?? key?.['value']).replaceAll('"', "'");
}

/** `T` of `type X = keyof typeof T`: written out, the table behind it stays in the house. */
function tableBehind(declaration: Node): string | undefined {
  if (declaration.type !== 'TSTypeAliasDeclaration') return undefined;
  const type = inner(declaration, 'typeAnnotation');
  if (type?.['operator'] !== 'keyof') return undefined;
  const query = inner(type, 'typeAnnotation');
  return query?.type === 'TSTypeQuery' ? leftmostOf(query['exprName']) : undefined;
}

function inner(node: Node, ...fields: readonly string[]): Node | undefined {
  let found: Node | undefined = node;
  for (const field of fields) found = (found?.[field] ?? undefined) as Node | undefined;
  return found;
}

/** The words about what follows. */
const lastDoc = /\/\*\*(?:(?!\*\/)[\s\S])*\*\/(?=\s*$)/;

/** Of an import by the local name, of an export by the exported one. */
function specifiers(statement: Node, said: string): [string, Found][] {
  const source = statement['source'] as { readonly value: string } | null;
  return (statement['specifiers'] as readonly Node[]).map((specifier) => {
    const from = source?.value ?? null;
    if (specifier.type === 'ExportSpecifier')
      return [
        nameOf(specifier['exported']),
        { from, name: nameOf(specifier['local']), statement: said },
      ];
    const local = nameOf(specifier['local']);
    const name = specifier.type === 'ImportSpecifier' ? nameOf(specifier['imported']) : local;
    return [local, { from, name, statement: said }];
  });
}

function namesOf(declaration: Node, file: string): string[] {
  if (declaration.type === 'VariableDeclaration')
    return (declaration['declarations'] as readonly Node[]).map(({ id }) => nameOf(id));
  if (!declaration['id']) throw new Error(`${file}: cannot roll up a ${declaration.type}`);
  return [nameOf(declaration['id'])];
}

function nameOf(identifier: unknown): string {
  return (identifier as { readonly name: string }).name;
}

/** Where a node holds the name of another declaration. */
const spoken: Readonly<Record<string, string>> = {
  TSTypeReference: 'typeName',
  TSTypeQuery: 'exprName',
  TSInterfaceHeritage: 'expression',
  TSClassImplements: 'expression',
  ClassDeclaration: 'superClass',
};

function* spokenOf(node: unknown, file: string): Iterable<string> {
  if (Array.isArray(node)) for (const one of node) yield* spokenOf(one, file);
  else if (typeof node === 'object' && node !== null) {
    const { type } = node as Node;
    if (type === 'TSImportType') throw new Error(`${file}: an exported type must be written out`);
    const field = spoken[type];
    const leftmost = field && leftmostOf((node as Node)[field]);
    if (leftmost) yield leftmost;
    for (const inner of Object.values(node)) yield* spokenOf(inner, file);
  }
}

/** `z` of `z.infer`. */
function leftmostOf(node: unknown): string | undefined {
  if (typeof node !== 'object' || node === null) return undefined;
  const { type, left, object, name } = node as Node;
  if (type === 'TSQualifiedName') return leftmostOf(left);
  if (type === 'MemberExpression') return leftmostOf(object);
  return type === 'Identifier' ? String(name) : undefined;
}
