import { relative } from 'node:path';
import { parseArgs } from 'node:util';
import { addToCorpus, corpusOf } from './corpus.ts';
import { FuzzThread } from './fuzz-thread.ts';
import { readers } from './readers.ts';

/**
 * `npm run fuzz -- [--count 5000] [--only READER] [--seed 1] [--patience 10]`: bad inputs for every reader of what
 * strangers write. Inputs on which one fails are kept in the corpus; ends with 1 where there was any.
 */
const { values } = parseArgs({
  options: {
    count: { type: 'string', default: '5000' },
    only: { type: 'string' },
    seed: { type: 'string', default: '1' },
    patience: { type: 'string', default: '10' },
  },
});
const chosen = readers.filter(({ name }) => values.only === undefined || name === values.only);
if (chosen.length === 0) {
  const names = readers.map(({ name }) => name).join(', ');
  throw new Error(`no reader ${values.only}; there are ${names}`);
}
const thread = new FuzzThread();
for (const { name } of chosen) {
  const order = {
    ...{ reader: name, seed: Number(values.seed), count: Number(values.count) },
    corpus: corpusOf(name),
  };
  const began = performance.now();
  const { failures, inputs } = await thread.read(order, Number(values.patience));
  const seconds = ((performance.now() - began) / 1000).toFixed(0);
  console.log(`${name.padEnd(18)} ${inputs} inputs, ${failures.length} failures, ${seconds} s`);
  for (const { input, error } of failures) {
    const file = relative(process.cwd(), addToCorpus(name, input));
    console.log(`  ${file}: ${error.split('\n').slice(0, 4).join('\n    ')}`);
  }
  if (failures.length > 0) process.exitCode = 1;
}
thread.close();
