import * as z from 'zod';
import { isProperty, type LampProperty, lampProperties } from '../../bench/lamp-properties.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import { scalar } from '../../files/schema-parts.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import type { Raw, ValueReader } from '../value-reader.ts';
import { figureOfLamp, isLampWord } from './lamp-figure.ts';
import { readPropertyLink } from './named-link.ts';
import { reaches, type Verb } from './verb.ts';

export interface TellStep {
  readonly verb: 'tell';
  readonly property: LampProperty;
  /** SI */
  readonly value: number;
  /** `taken`, or the reason with which the lamp must refuse. */
  readonly expect: string;
}

const taken = 'taken';

/** Reasons of ANSI E1.20-2010 table A-17 that a value can be refused for, from memory. */
const reasons = [
  'unknown-parameter',
  'format-error',
  'hardware-fault',
  'write-protect',
  'unsupported-command-class',
  'data-out-of-range',
] as const;

const schema = z.strictObject({
  property: z
    .string()
    .meta({ description: 'What is set in the lamp.', examples: ['dmx-start-address'] }),
  value: scalar('What it is set to: a figure, `lamp-file`, or `elsewhere`.', 33),
  expect: z
    .enum([taken, ...reasons])
    .optional()
    .meta({ description: '`taken` (without it), or why the lamp must refuse.' }),
});

const settable = Object.entries(lampProperties)
  .filter(([, facts]) => facts.settable)
  .map(([name]) => name);

/** A message and its answer on the line, with discovery ahead of the first, s. */
const lastingTime = 0.5;

/** The lamp is told to take a value for a setting of its own; whether it does, or refuses, is a finding. */
export const tell: Verb<z.infer<typeof schema>, TellStep> = {
  verb: 'tell',
  about: 'Set what the lamp keeps for itself.',
  schema: () => schema,
  read({ property, value, expect = taken }, reader) {
    const at = reader.at('property');
    const name = at.text(property).trim();
    if (!isProperty(name) || !lampProperties[name].settable) {
      const known = didYouMean(name, settable) || `; it may be ${settable.join(', ')}`;
      at.report(`expected what can be set in a lamp, found "${name}"${known}`, property);
      return null;
    }
    const { link } = lampProperties[name];
    readPropertyLink(link, reader);
    const figure = readValue(name, value, reader);
    return Number.isNaN(figure) ? null : { verb: 'tell', property: name, value: figure, expect };
  },
  words: (step) =>
    `set ${textOf(step)} in the lamp${step.expect === taken ? '' : `, which it must refuse: ${step.expect}`}`,
  lasts: () => lastingTime,
  needs: ({ property }) => ({ link: lampProperties[property].link }),
  misses: reaches,
  judges: () => true,
  async perform(step, run) {
    const { port, call } = run.link(lampProperties[step.property].link);
    const reply = { text: (await port.tell?.(step.property, step.value, call)) ?? taken };
    const text = textOf(step);
    run.note({ link: port.link, text, reply });
    run.answered({ link: port.link, sent: text, expected: { text: step.expect }, reply });
  },
};

/** A figure, or a word for one that follows from the lamp file. */
function readValue(property: LampProperty, written: Raw, reader: ValueReader): number {
  const at = reader.at('value');
  const { dimension } = lampProperties[property];
  const word = at.text(written).trim();
  if (dimension === 'energy') return Number.NaN;
  return isLampWord(word) ? figureOfLamp(word, property, at) : at.figure(written, dimension);
}

/** `dmx-start-address 33` */
function textOf({ property, value }: TellStep): string {
  const { dimension } = lampProperties[property];
  return `${property} ${dimension === 'energy' ? value : formatQuantity(value, dimension)}`;
}
