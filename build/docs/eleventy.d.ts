/** What the site uses of Eleventy, which has no types of its own. */
declare module '@11ty/eleventy' {
  export interface Token {
    type: string;
    tag: string;
    content: string;
    children: Token[] | null;
    attrGet(name: string): string | null;
    attrSet(name: string, value: string): void;
  }

  export interface MarkdownIt {
    set(options: { html: boolean }): MarkdownIt;
    readonly core: {
      readonly ruler: {
        push(
          name: string,
          rule: (state: {
            tokens: Token[];
            readonly env: { readonly source: string };
            readonly Token: new (type: string, tag: string, nesting: number) => Token;
          }) => void,
        ): void;
      };
    };
  }

  export interface Configuration {
    setQuietMode(quiet: boolean): void;
    setUseGitIgnore(use: boolean): void;
    addTemplate(path: string, content: string, data: Readonly<Record<string, unknown>>): void;
    amendLibrary(name: 'md', amend: (markdown: MarkdownIt) => void): void;
    addTransform(
      name: string,
      transform: (this: { page: { outputPath: string } }, content: string) => string,
    ): void;
  }

  export default class Eleventy {
    constructor(
      input: string,
      output: string,
      options: { quietMode: boolean; config: (configuration: Configuration) => void },
    );
    toJSON(): Promise<readonly { readonly outputPath: string; readonly content: string }[]>;
  }
}
