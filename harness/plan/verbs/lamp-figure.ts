import {
  type LampProperty,
  lampProperties,
  type PropertyFacts,
} from '../../bench/lamp-properties.ts';
import type { ValueReader } from '../value-reader.ts';

/** What follows from the lamp file: `lamp-file` is what it says, `elsewhere` a value that has nothing in common with it. */
type LampWord = 'lamp-file' | 'elsewhere';

export function isLampWord(word: string): word is LampWord {
  return word === 'lamp-file' || word === 'elsewhere';
}

/** The figure of a property that a word stands for, SI; NaN where there is none (reported at `at`). */
export function figureOfLamp(word: LampWord, property: LampProperty, at: ValueReader): number {
  const facts: PropertyFacts = lampProperties[property];
  const { lamp, lampFits } = at;
  const figure = (word === 'elsewhere' ? facts.elsewhere : facts.promised)?.(lamp);
  if (figure !== undefined) return figure;
  if (!lampFits) return 0;
  at.report(
    word === 'elsewhere'
      ? `lamp ${lamp.lamp} has no other ${property} that is free of its own; write a figure`
      : `the file of lamp ${lamp.lamp} does not say its ${property}; add it there, or write a figure`,
  );
  return Number.NaN;
}
