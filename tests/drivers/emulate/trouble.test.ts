import { describe, expect, it } from 'vitest';
import { readTrouble, type Trouble, Troubles } from '../../../drivers/plant/emulate/trouble.ts';

const instruments = ['digitiser', 'supply'];
const silence: Trouble = { kind: 'silence', on: null, from: 1, once: false, seconds: 0 };

describe('a trouble on the command line', () => {
  it('has a kind, a time, an instrument, a first answer, and may come once', () => {
    expect(readTrouble('late=800 ms,on=supply,from=5,once', instruments)).toEqual({
      kind: 'late',
      on: 'supply',
      from: 5,
      once: true,
      seconds: 0.8,
    });
    expect(readTrouble('silence', instruments)).toEqual(silence);
  });

  it.each([
    ['silense', 'no such trouble: "silense"; did you mean "silence"?'],
    ['silence=3 s', 'silence takes no value'],
    ['late=3 V', 'expected a time after late='],
    ['silence,on=suply', 'no instrument "suply"'],
    ['silence,from=0', 'expected on=INSTRUMENT, from=NUMBER or once'],
  ])('that cannot be read is told in a sentence: %s', (text, problem) => {
    const read = readTrouble(text, instruments);
    expect('problem' in read && read.problem).toContain(problem);
  });
});

describe('troubles', () => {
  it('strike from their first answer on, per instrument', () => {
    const troubles = new Troubles([{ ...silence, from: 2 }]);
    const strikes = ['a', 'a', 'b', 'a', 'b'].map((name) => troubles.strike(name, ['silence']));
    expect(strikes.map((strike) => strike !== null)).toEqual([false, true, false, true, true]);
  });

  it('strike once, on their instrument, and only where their kind is asked for', () => {
    const troubles = new Troubles([{ ...silence, on: 'a', once: true }]);
    expect(troubles.strike('b', ['silence'])).toBeNull();
    expect(troubles.strike('a', ['late'])).toBeNull();
    expect(troubles.strike('a', ['silence'])?.kind).toBe('silence');
    expect(troubles.strike('a', ['silence'])).toBeNull();
  });
});
