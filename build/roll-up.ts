import { readFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { type DeclarationModule, type Found, parseDeclarations } from './declaration-module.ts';

/** Where a name comes from: a declaration of one of our files, or a package. */
type Origin =
  | { readonly of: 'us'; readonly file: string; readonly name: string }
  | { readonly of: 'package'; readonly statement: string }
  | null;

/**
 * One declaration file from the tree that the compiler wrote: the exports of `entry`, and whatever they speak of, which is
 * declared but not exported. Throws where two declarations would have the same name.
 */
export function rollUp(entry: string): string {
  const rolled = new RollUp();
  const exported = [...rolled.module(entry).exports.keys()].sort();
  const names = exported.map((name) => rolled.include(rolled.exportOf(entry, name), name));
  return rolled.text(names);
}

class RollUp {
  readonly #modules = new Map<string, DeclarationModule>();
  readonly #packages = new Set<string>();
  /** File by name: in one file each name can be there once. */
  readonly #taken = new Map<string, string>();
  readonly #declarations: string[] = [];

  module(file: string): DeclarationModule {
    const known = this.#modules.get(file);
    if (known) return known;
    const read = parseDeclarations(file, readFileSync(file, 'utf8'));
    this.#modules.set(file, read);
    return read;
  }

  text(exported: readonly string[]): string {
    const parts = [...this.#packages, ...this.#declarations];
    return `${parts.join('\n')}\nexport { ${exported.join(', ')} };\n`;
  }

  exportOf(file: string, name: string): Origin {
    const found = this.module(file).exports.get(name);
    if (!found) throw new Error(`${file} exports no ${name}`);
    return this.#follow(file, found);
  }

  /** Declares what was found, with all that it speaks of; returns its name. */
  include(origin: Origin, wanted: string): string {
    if (origin === null) return wanted;
    if (origin.of === 'package') {
      this.#packages.add(origin.statement);
      return wanted;
    }
    const { file, name } = origin;
    if (name !== wanted) throw new Error(`${name} of ${file} is called ${wanted} elsewhere`);
    const taken = this.#taken.get(name);
    if (taken === file) return name;
    if (taken) throw new Error(`both ${taken} and ${file} declare ${name}: rename one of them`);
    this.#taken.set(name, file);
    for (const { text, speaksOf } of this.module(file).declarations.get(name) ?? []) {
      this.#declarations.push(text);
      for (const other of speaksOf) this.include(this.#originOf(file, other), other);
    }
    return name;
  }

  #originOf(file: string, name: string): Origin {
    const { declarations, imports } = this.module(file);
    if (declarations.has(name)) return { of: 'us', file, name };
    const imported = imports.get(name);
    // What nobody declares is the language's own.
    return imported ? this.#follow(file, imported) : null;
  }

  #follow(file: string, { from, name, statement }: Found): Origin {
    if (from === null) return this.#originOf(file, name);
    if (!from.startsWith('.')) return { of: 'package', statement };
    return this.exportOf(resolve(dirname(file), from.replace(/\.ts$/, '.d.ts')), name);
  }
}
