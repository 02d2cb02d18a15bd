import { words } from '../../files/schema-parts.ts';
import { instant, nothing, type Verb } from './verb.ts';

export interface MarkStep {
  readonly verb: 'mark';
  readonly name: string;
}

const schema = words('Name of the window.');

/** A window begins, and lasts to the next mark or the end. */
export const mark: Verb<string, MarkStep> = {
  verb: 'mark',
  about: 'Name the window that begins here and lasts to the next mark.',
  schema: () => schema,
  read(written, reader) {
    return { verb: 'mark', name: reader.text(written) };
  },
  words: ({ name }) => `— ${name} —`,
  lasts: instant,
  needs: nothing,
  mark: ({ name }) => name,
  async perform({ name }, run) {
    run.light.mark(run.now(), name);
  },
};
