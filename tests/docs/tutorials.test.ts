import { cpSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type PackedProduct, unpackProduct } from '../exports/packed-product.ts';
import { type CommandStep, isShown, stepsOf, typeTutorial } from './tutorial.ts';

/** Packing and running on a busy machine, ms. */
const patience = 600_000;
const folder = 'docs/tutorials';
const tutorials = readdirSync(folder).filter((name) => name.endsWith('.md'));

let product: PackedProduct;
beforeAll(() => {
  product = unpackProduct();
}, patience);
afterAll(() => product?.remove());

/** What a clone has of what the tutorials use. Each tutorial has its own, beside the product's `node_modules`. */
function clone(): string {
  const place = join(product.folder, 'evenfall');
  rmSync(place, { recursive: true, force: true });
  mkdirSync(place);
  for (const part of ['specs', 'tests/firmware', 'drivers/plant/firmware'])
    cpSync(part, join(place, part), {
      recursive: true,
      filter: (path) => !/[\\/]build$/.test(path),
    });
  return place;
}

describe('the tutorials', { timeout: patience }, () => {
  it('are five, and all of them are typed below', () => {
    expect(tutorials.map((name) => name[0])).toEqual(['1', '2', '3', '4', '5']);
  });

  // With EVENFALL_WRITE_TUTORIALS=1, outputs without left-out lines are written anew; read what comes of it.
  for (const name of tutorials) {
    // A starved computer makes the emulated bench late, which is rightly an error of the bench: then once more.
    const retry = name.includes('rig') ? 2 : 0;
    it(`${name} does what it says, word for word`, { retry }, async () => {
      const file = join(folder, name);
      const steps = stepsOf(readFileSync(file, 'utf8'));
      expect(steps.length).toBeGreaterThan(3);
      await typeTutorial(steps, clone(), ({ step, exitCode, ...ended }) => {
        expect(exitCode, `${step.script}${ended.stdout}${ended.stderr}`).toBe(step.exit);
        if (!step.printed) return;
        const printed = ended[step.printed.on];
        if (isShown(step.printed, printed) && step.printed.text !== '…\n') return;
        if (process.env['EVENFALL_WRITE_TUTORIALS']) showAnew(file, step, printed);
        else expect(printed).toBe(step.printed.text);
      });
    });
  }
});

function showAnew(file: string, { script, printed: old }: CommandStep, printed: string): void {
  const text = readFileSync(file, 'utf8');
  const at = text.indexOf(old?.text ?? '', text.indexOf('```text', text.indexOf(script)));
  writeFileSync(
    file,
    `${text.slice(0, at)}${printed.trimEnd()}\n${text.slice(at + (old?.text.length ?? 0))}`,
  );
}

it('takes other times, ids and layout for the same, and other words or figures not', () => {
  const printed = { text: 'run 0123456789ab\n…\n3 s of lamp time in 2.1 s.\n', isShape: false };
  expect(isShown(printed, 'run ba9876543210\nmore\n3 s of lamp time\nin 9 s.\n')).toBe(true);
  expect(isShown(printed, 'run ba9876543210\nmore\n4 s of lamp time\nin 9 s.\n')).toBe(false);
  expect(isShown({ text: 'took 3.1 s', isShape: true }, 'took 22 s')).toBe(true);
  expect(isShown({ text: 'took 3.1 s', isShape: true }, 'lost 22 s')).toBe(false);
  expect(() => stepsOf('```yaml\na: b\n```\n')).toThrow('expected the name of a file');
});
