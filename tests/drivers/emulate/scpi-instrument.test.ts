import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import { headerPattern } from '../../../drivers/plant/emulate/scpi/header-pattern.ts';
import { readMessage } from '../../../drivers/plant/emulate/scpi/program-message.ts';
import { type Conversation, converse } from './converse.ts';
import { openTestEmulation } from './open-test-bench.ts';

describe('program messages', () => {
  it('go on from the path of the unit before, unless a colon leads (SCPI-1999 volume 1, 6.2.4)', () => {
    const headers = readMessage('ACQ:RATE 10;POIN 5;*OPC?;POIN?;:VOLT 1').map(
      ({ header }) => header,
    );
    expect(headers).toEqual(['ACQ:RATE', 'ACQ:POIN', '*OPC', 'ACQ:POIN', 'VOLT']);
  });

  it('keep separators within quotes', () => {
    expect(readMessage('A "x;y,z",\'1;2\'')).toEqual([
      { header: 'A', query: false, args: ['"x;y,z"', "'1;2'"] },
    ]);
  });
});

describe('headers', () => {
  const range = headerPattern('INPut#:RANGe[:UPPer]');

  it('match the long or the short form, and nothing between', () => {
    expect(range('INP3:RANG')).toEqual([3]);
    expect(range('INPUT12:RANGE:UPP')).toEqual([12]);
    expect(range('INPU3:RANG')).toBeNull();
    expect(range('INP3:RANGES')).toBeNull();
  });

  it('have suffix 1 where none is written', () => expect(range('INP:RANG')).toEqual([1]));
});

describe('an emulated instrument', () => {
  let emulation: Emulation;
  let digitiser: Conversation;
  let supply: Conversation;
  beforeAll(async () => {
    emulation = await openTestEmulation();
    const portOf = (name: string): number =>
      emulation.endpoints.find((endpoint) => endpoint.name === name)!.port;
    digitiser = await converse(portOf('digitiser'));
    supply = await converse(portOf('supply'));
  });
  afterAll(async () => {
    digitiser.end();
    supply.end();
    await emulation.close();
  });

  it('queues errors first in first out, and the last entry tells of an overflow', async () => {
    await supply.ask('*CLS;*ESR?');
    for (let count = 0; count < 25; count++) supply.tell(`BAD${count}`);
    expect(await supply.ask('SYST:ERR:COUN?')).toBe('20');
    expect(await supply.ask('SYST:ERR?')).toBe('-113,"Undefined header;BAD0"');
    for (let count = 1; count < 19; count++) await supply.ask('SYST:ERR?');
    expect(await supply.ask('SYST:ERR?')).toBe('-350,"Queue overflow"');
    expect(await supply.ask('SYST:ERR?')).toBe('0,"No error"');
  });

  it('sets the event bits of IEEE 488.2, 11.5.1: command 32, execution 16', async () => {
    await supply.ask('*CLS;*ESR?');
    supply.tell('BAD');
    supply.tell('VOLT 61');
    expect(await supply.ask('*ESR?')).toBe('48');
    expect(await supply.ask('*ESR?')).toBe('0');
    expect(await supply.ask('*ESE 16;*ESE?')).toBe('16');
    expect(Number(await supply.ask('*STB?')) & 4).toBe(4);
    supply.tell('*CLS');
    expect(await supply.ask('*STB?')).toBe('0');
  });

  it('keeps its error queue over *RST, which switches the output off', async () => {
    supply.tell('*CLS');
    supply.tell('VOLT 48;:OUTP ON');
    supply.tell('BAD');
    expect(await supply.ask('OUTP?')).toBe('1');
    supply.tell('*RST');
    expect(await supply.ask('OUTP?;:VOLT?')).toBe('0;0.000');
    expect(await supply.ask('SYST:ERR?')).toContain('-113');
  });

  it('sends a definite block that holds line feeds, and then the end of line', async () => {
    digitiser.tell('*CLS;*RST');
    digitiser.tell('FORM:BORD SWAP;:ROUT:SCAN NONE;SCAN:ADD 11;:ACQ:RATE 10000;POIN 2570');
    digitiser.tell('INP11:RANG 0.5;:INIT');
    expect(await digitiser.ask('*OPC?;:ACQ:STAT?')).toBe('1;DONE');
    const block = await digitiser.askBlock('WAV:DATA? 11');
    expect(block.length).toBe(2 * 2570);
    // Noise of 5 mV over ±0.625 V in 16 bits is 262 codes: every low byte occurs.
    expect(block.includes(0x0a)).toBe(true);
    expect(await digitiser.ask('SYST:ERR?')).toBe('0,"No error"');
  });

  it('has the same codes in both orders of bytes, and in 32 bits', async () => {
    const swapped = await digitiser.askBlock('FORM:BORD SWAP;:WAV:DATA? 11');
    const normal = await digitiser.askBlock('FORM:BORD NORM;:WAV:DATA? 11');
    const wide = await digitiser.askBlock('FORM INT,32;:WAV:DATA? 11');
    digitiser.tell('FORM INT,16');
    expect(normal.readInt16BE(100)).toBe(swapped.readInt16LE(100));
    expect(wide.readInt32BE(200)).toBe(swapped.readInt16LE(100));
  });

  it('refuses what it cannot: a second start, no record, unknown inputs, figures out of range', async () => {
    digitiser.tell('*CLS;*RST');
    digitiser.tell('WAV:DATA? 11');
    expect(await digitiser.ask('SYST:ERR?')).toContain('-230');
    digitiser.tell('ROUT:SCAN:ADD 99');
    expect(await digitiser.ask('SYST:ERR?')).toContain('-224');
    digitiser.tell('INP99:RANG 1');
    expect(await digitiser.ask('SYST:ERR?')).toContain('-114');
    digitiser.tell('ACQ:RATE 2E9');
    expect(await digitiser.ask('SYST:ERR?')).toContain('-222');
    digitiser.tell('ACQ:RATE');
    expect(await digitiser.ask('SYST:ERR?')).toContain('-109');
    digitiser.tell('ACQ:RATE fast');
    expect(await digitiser.ask('SYST:ERR?')).toContain('-104');
    digitiser.tell('ROUT:SCAN:ADD 1;:ACQ:RATE 1000;POIN 5000;:INIT');
    digitiser.tell('INIT');
    expect(await digitiser.ask('SYST:ERR?')).toContain('-213');
    expect(await digitiser.ask('ACQ:STAT?')).toBe('RUN');
    digitiser.tell('ABOR');
    expect(await digitiser.ask('ACQ:STAT?')).toBe('IDLE');
  });
});
