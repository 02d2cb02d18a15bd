import * as z from 'zod';
import {
  isProperty,
  type LampProperty,
  lampProperties,
  type PropertyFacts,
  propertyNames,
} from '../../bench/lamp-properties.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import { scalar } from '../../files/schema-parts.ts';
import type { LampQuestion, ReportExpectation } from '../report-expectation.ts';
import type { ValueReader } from '../value-reader.ts';
import { figureOfLamp, isLampWord } from './lamp-figure.ts';
import { readPropertyLink } from './named-link.ts';
import { reaches, type Verb } from './verb.ts';

interface AskStep extends LampQuestion {
  readonly verb: 'ask';
}

const schema = z.strictObject({
  property: z
    .string()
    .meta({ description: 'What the lamp is asked for.', examples: ['active-power'] }),
  expect: scalar(
    'What it must be: a figure, `lamp-file`, or `elsewhere`.',
    'lamp-file',
    '55 W',
  ).optional(),
  'more-by': scalar(
    'By how much it must be more than at the ask before: a figure, `elapsed`, or `lit-time`.',
    'lit-time',
    3,
  ).optional(),
  tolerance: scalar('Half-width about that; none without it.', '± 2 s', '± 5 %').optional(),
});
type Written = z.infer<typeof schema>;

/** A byte with its answer on the bus, and a frame without, s (IEC 62386-101; computed, with talk to a bridge). */
const queryTime = 0.065;
const frameTime = 0.035;
/** A message and its answer on a DMX512 line, with discovery ahead of the first, s. */
const lineTime = 0.5;
/** A bank is read twice at least, each time behind two registers and ahead of one query. */
const readings = 2;

/** The lamp is asked what it says of itself: read until two readings agree, kept for metrics, and held against what is expected. */
export const ask: Verb<Written, AskStep> = {
  verb: 'ask',
  about: 'Ask the lamp what it says of itself.',
  schema: () => schema,
  read(written, reader) {
    const name = reader.at('property').text(written.property).trim();
    if (!isProperty(name)) {
      const known = didYouMean(name, propertyNames) || `; it may be ${propertyNames.join(', ')}`;
      reader
        .at('property')
        .report(
          `expected what a lamp can say of itself, found "${name}"${known}`,
          written.property,
        );
      return null;
    }
    readPropertyLink(lampProperties[name].link, reader);
    const expect = readExpectation(name, written, reader);
    return expect === null ? null : { verb: 'ask', property: name, ...(expect && { expect }) };
  },
  words({ property, expect }) {
    const { title } = lampProperties[property];
    return `ask the lamp for its ${lowered(title)}${expect ? `, and expect ${expect.text}` : ''}`;
  },
  lasts: ({ property }) => askingTime(lampProperties[property]),
  needs: ({ property }) => ({ link: lampProperties[property].link }),
  misses: reaches,
  judges: ({ expect }) => expect !== undefined,
  async perform(step, run) {
    const facts = lampProperties[step.property];
    const { port, call } = run.link(facts.link);
    await run.ask(step, port, { ...call, deadline: call.deadline + askingTime(facts) });
  },
};

/** Lamp time that it takes to ask, s. */
function askingTime({ link, bytes }: PropertyFacts): number {
  return link === 'dmx' ? lineTime : readings * (2 * frameTime + (bytes + 1) * queryTime);
}

function lowered(title: string): string {
  return title.charAt(0).toLowerCase() + title.slice(1);
}

/** Undefined where the step expects nothing; null where it has issues. */
function readExpectation(
  property: LampProperty,
  { expect, 'more-by': moreBy, tolerance }: Written,
  reader: ValueReader,
): ReportExpectation | null | undefined {
  const facts: PropertyFacts = lampProperties[property];
  if (expect === undefined && moreBy === undefined) {
    if (tolerance === undefined) return undefined;
    reader.at('tolerance').report('tolerance goes with expect or more-by', null, 'key');
    return null;
  }
  const key = expect === undefined ? 'more-by' : 'expect';
  const at = reader.at(key);
  const { dimension } = facts;
  if (expect !== undefined && moreBy !== undefined)
    return refuse(reader.at('more-by'), 'more-by and expect exclude each other');
  if (dimension === 'energy')
    return refuse(at, `${property} is for metrics; use reported-energy-error`);
  const word = at.text(expect ?? moreBy ?? '').trim();
  const against = readAgainst(word, { key, property, dimension }, reader);
  if (against === null) return null;
  const half = readTolerance(tolerance, dimension, reader.at('tolerance'));
  const about = tolerance === undefined ? '' : ` ± ${bare(String(tolerance))}`;
  const text = `${key === 'expect' ? '' : 'more by '}${word}${about}`;
  return { ...against, ...half, dimension, text };
}

type Against = Pick<ReportExpectation, 'against' | 'value'>;

function readAgainst(
  word: string,
  {
    key,
    property,
    dimension,
  }: { key: string; property: LampProperty; dimension: PropertyFacts['dimension'] & string },
  reader: ValueReader,
): Against | null {
  const at = reader.at(key);
  const facts: PropertyFacts = lampProperties[property];
  if (dimension === 'energy') return null;
  if (key === 'more-by') {
    if (facts.moves !== 'up') return refuse(at, `${property} is no counter; use expect`);
    if (word === 'elapsed' || word === 'lit-time') {
      if (dimension === 'time') return { against: word, value: 0 };
      return refuse(at, `${word} goes with times; ${property} is none`);
    }
    const value = at.figure(word, dimension);
    return Number.isNaN(value) ? null : { against: 'before', value };
  }
  const value = isLampWord(word) ? figureOfLamp(word, property, at) : at.figure(word, dimension);
  return Number.isNaN(value) ? null : { against: 'value', value };
}

function readTolerance(
  written: string | number | undefined,
  dimension: PropertyFacts['dimension'],
  at: ValueReader,
): Pick<ReportExpectation, 'tolerance' | 'relative'> {
  if (written === undefined || dimension === 'energy') return { tolerance: 0, relative: false };
  const figure = bare(at.text(written));
  const relative = figure.endsWith('%');
  return { tolerance: at.figure(figure, relative ? 'ratio' : dimension, { least: 0 }), relative };
}

function bare(written: string): string {
  return written.replace(/^\s*(±|\+\/-|\+-)\s*/, '').trim();
}

function refuse(at: ValueReader, why: string): null {
  at.report(why);
  return null;
}
