import { describe, expect, it } from 'vitest';
import { readCsv } from '../../harness/files/csv.ts';

const read = (text: string, rate?: number) => {
  const result = readCsv(text, rate);
  if (!result.ok) throw new Error(result.fault.message);
  return result.value;
};
const faultOf = (text: string, rate?: number) => {
  const result = readCsv(text, rate);
  if (result.ok) throw new Error('read without a fault');
  return result.fault;
};
const columns = (text: string, rate?: number) =>
  read(text, rate).columns.map(({ name, unit, samples }) => [name, unit, ...samples]);

describe('readCsv', () => {
  it('reads a table with a header and a time column', () => {
    const table = read('time,light\n0,1.5\n0.001,2.5\n0.002,-1e-3\n');
    expect(table.rate).toBe(1000);
    expect(table.start).toBe(0);
    expect(columns('time,light\n0,1.5\n0.001,2.5\n')).toEqual([['light', null, 1.5, 2.5]]);
  });

  it('takes an empty first field of a row of tabs for what it is', () => {
    expect(faultOf('time\tlight\n0\t1\n\t2\n')).toMatchObject({
      ...{ code: 'not-a-number', line: 3, column: 1 },
      message: expect.stringContaining('an empty field'),
    });
  });

  it('counts comments, blank lines and the line ends of old systems as lines', () => {
    expect(faultOf('# light\r\r  # of the hall\rtime,light\r0,1\r1,x\r')).toMatchObject({
      ...{ line: 6, column: 2 },
    });
  });

  it('refuses a table with quotation marks that would not fit the memory as texts', () => {
    const long = `"time","light"\n${'0.00001,1.00000\n'.repeat(2_100_000)}`;
    expect(faultOf(long)).toMatchObject({
      ...{ code: 'too-large', message: expect.stringContaining('without quotation marks') },
    });
  });

  it('finds a round rate exactly, so that it meets a round need', () => {
    for (const rate of [3000, 10_000, 48_000, 1e6]) {
      const rows = Array.from({ length: 700 }, (_, k) => `${1.7 + k / rate},1`);
      expect(read(`time,light\n${rows.join('\n')}`).rate).toBe(rate);
    }
  });

  it('takes the first of several columns without header for time', () => {
    const table = read('0.5,1\n0.6,2\n0.7,3');
    expect(table.rate).toBeCloseTo(10, 9);
    expect(table.start).toBe(0.5);
    expect(table.columns.map(({ name }) => name)).toEqual(['column 2']);
  });

  it('takes every column without header for samples where the rate is given', () => {
    expect(columns('1,10\n2,20\n', 1000)).toEqual([
      ['column 1', null, 1, 2],
      ['column 2', null, 10, 20],
    ]);
  });

  it('reads one bare column with a given rate', () => {
    expect(read('1\n2\n3\n', 5000)).toMatchObject({ rate: 5000, start: 0 });
  });

  it('finds units in the header, in a second row, or behind the name', () => {
    expect(columns('t [ms],warm (lx),cool_lx\n0,1,2\n1,3,4\n')).toEqual([
      ['warm', 'lx', 1, 3],
      ['cool', 'lx', 2, 4],
    ]);
    expect(read('t [ms],warm\n0,1\n1,3\n').rate).toBeCloseTo(1000, 9);
    expect(columns('Time,A\n(us),(V)\n0,1\n10,2\n')).toEqual([['A', 'V', 1, 2]]);
    expect(read('Time,A\n(us),(V)\n0,1\n10,2\n').rate).toBeCloseTo(1e5, 6);
  });

  it.each([
    ['a byte order mark', '\uFEFFtime,light\n0,1\n1,2\n'],
    ['carriage returns', 'time,light\r\n0,1\r\n1,2\r\n'],
    ['semicolons', 'time;light\n0;1\n1;2\n'],
    ['tabs', 'time\tlight\n0\t1\n1\t2\n'],
    ['quotation marks', '"time","light"\n"0","1"\n"1","2"\n'],
    ['spaces, comments and blank lines', '# bench 2\n\n time , light \n 0 , 1 \n\n1,2\n\n'],
    ['no line end after the last row', 'time,light\n0,1\n1,2'],
  ])('does not mind %s', (_, text) => {
    expect(read(text).rate).toBe(1);
    expect(columns(text)).toEqual([['light', null, 1, 2]]);
  });

  it.each([
    ['semicolons', 'time;light\n0,5;1\n1,0;2,5\n'],
    ['tabs', 'time\tlight\n0,5\t1\n1,0\t2,5\n'],
    ['semicolons, in quotation marks', '"time";"light"\n"0,5";"1"\n"1,0";"2,5"\n'],
  ])('reads decimal commas between %s', (_, text) => {
    expect(read(text)).toMatchObject({ rate: 2, start: 0.5 });
    expect(columns(text)).toEqual([['light', null, 1, 2.5]]);
  });

  it('bears with times that were rounded in print', () => {
    const rows = Array.from({ length: 300 }, (_, k) => `${(k / 3000).toFixed(5)},${k}`);
    expect(read(`time,light\n${rows.join('\n')}`).rate / 3000).toBeCloseTo(1, 3);
  });

  it.each([
    ['a decimal comma beside decimal points', 'time;light\n0;1.5\n1;2,5\n', 'decimal-comma', 3, 2],
    ['decimal commas between commas', 'time,light\n0,001,0,5\n0,002,0,6\n', 'decimal-comma', 2, 1],
    ['decimal commas in one column', 'light\n0,5\n0,6\n', 'decimal-comma', 2, 1],
    ['decimal commas without header', '0,05\n0,06\n', 'decimal-comma', 1, 1],
    ['a quoted decimal comma', 'time,light\n0,1\n1,"2,5"\n', 'decimal-comma', 3, 2],
    ['text', 'time,light\n0,1\n1,dark\n', 'not-a-number', 3, 2],
    ['text in the first row', '0,dark\n1,2\n', 'not-a-number', 1, 2],
    ['an empty field', 'time,light\n0,\n1,2\n', 'not-a-number', 2, 2],
    ['NaN', 'time,light\n0,1\n1,NaN\n', 'not-a-number', 3, 2],
    ['NaN in the first row of a bare column', 'NaN\n2\n', 'not-a-number', 1, 1],
    ['infinity', 'time,light\n0,1\n1,-Infinity\n', 'not-a-number', 3, 2],
    ['an overflow', 'time,light\n0,1\n1,1e999\n', 'not-a-number', 3, 2],
    ['a short row', 'time,a,b\n0,1,2\n1,2\n', 'ragged', 3, 3],
    ['a long row', 'time,a\n0,1\n1,2,3\n', 'ragged', 3, 3],
    ['two columns of one name', 'time,a,a\n0,1,2\n1,2,3\n', 'header', 1, 3],
    ['a missing sample', 'time,a\n0,1\n1,2\n3,3\n4,4\n5,5\n', 'uneven-time', 4, 1],
    [
      'a step that is a tenth too long',
      'time,a\n0.00,1\n1.00,2\n2.10,3\n3.0,4\n4.0,5\n5.00,6\n',
      'uneven-time',
      4,
      1,
    ],
    ['time that stands still', '5,1\n5,2\n5,3\n', 'uneven-time', 3, 1],
    ['time that runs back', 'time,a\n0,1\n2,1\n1,1\n3,2\n', 'uneven-time', 4, 1],
    ['one row', 'time,a\n0,1\n', 'no-rate', 2, 1],
  ])('refuses %s at its line and column', (_, text, code, line, column) => {
    expect(faultOf(text, text.startsWith('NaN') ? 1000 : undefined)).toMatchObject({
      code,
      line,
      column,
    });
  });

  it('gives the figure of an uneven step', () => {
    expect(faultOf('t (ms),a\n0,1\n1,2\n3,3\n4,4\n5,5\n').message).toMatch(
      /0\.002 s here, 0\.001 s elsewhere/,
    );
  });

  it.each([
    ['', 'empty'],
    ['\n\n', 'empty'],
    ['time,light\n', 'empty'],
    ['time\n0\n1\n', 'empty'],
    ['light\n1\n2\n', 'no-rate'],
    ['time (furlong),a\n0,1\n1,2\n', 'header'],
    ['time,a\n0,"1\n1,2\n', 'quoting'],
  ])('refuses %j as %s', (text, code) => {
    expect(faultOf(text).code).toBe(code);
  });

  it('refuses a given rate that the time column contradicts', () => {
    expect(faultOf('time,a\n0,1\n0.001,2\n', 2000).code).toBe('rate-conflict');
    expect(read('time,a\n0,1\n0.001,2\n', 1000).rate).toBeCloseTo(1000, 9);
  });
});
