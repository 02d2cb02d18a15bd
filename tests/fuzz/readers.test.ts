import { afterAll, expect, it } from 'vitest';
import { corpusOf } from './corpus.ts';
import { FuzzThread } from './fuzz-thread.ts';
import { readers } from './readers.ts';

const thread = new FuzzThread();
afterAll(() => thread.close());

// A few of each on every commit, and all that ever failed; `npm run fuzz` reads thousands.
it.each(readers.map(({ name }) => name))(
  'a bad %s gets a sentence, and ends',
  async (name) => {
    const order = { reader: name, seed: 17, count: 60, corpus: corpusOf(name) };
    const { failures, inputs } = await thread.read(order, 30);
    expect(failures.map(({ error }) => error)).toEqual([]);
    expect(inputs).toBeGreaterThan(60);
  },
  120_000,
);
