import type { Call, Digitiser, Instrument } from '../../harness/bench/ports.ts';
import type { Candidate } from './guarantee.ts';

/** The call that takes this instrument longest, by name: a record or an integration of `longest` seconds, where it can. */
export function longCall(
  instrument: Instrument,
  candidate: Candidate,
  call: Call,
  longest = 5,
): { readonly what: string; readonly under: Promise<unknown> } {
  switch (instrument.kind) {
    case 'digitiser':
      return { what: 'a record under way', under: record(instrument, candidate, call, longest) };
    case 'colour-sensor':
      return {
        what: 'a reading under way',
        under: instrument.read({ integration: longest }, call),
      };
    case 'spectrometer':
      return {
        what: 'a measurement under way',
        under: instrument.measure({ integration: longest }, call),
      };
    case 'camera':
      return {
        what: 'an exposure under way',
        under: instrument.shoot({ exposure: 0.04, frameRate: 25 }, call),
      };
    case 'supply':
    case 'switch':
    case 'chamber':
    case 'thermometer':
      return { what: 'a reading under way', under: instrument.read(call) };
    case 'lamp-link':
      return { what: 'an identification under way', under: instrument.identify(call) };
  }
}

async function record(
  digitiser: Digitiser,
  candidate: Candidate,
  call: Call,
  longest: number,
): Promise<unknown> {
  const { capabilities } = digitiser;
  const { rate, duration } = usualRecord(digitiser, candidate);
  const most = Math.min(longest, capabilities.longestRecord / rate);
  const setup = {
    inputs: capabilities.inputs.slice(0, 1).map((input) => ({ input })),
    rate,
    duration: candidate.record ? duration : most,
  };
  const { finished } = await digitiser.arm(setup, call);
  return finished;
}

/** A record that the digitiser can take. */
export function usualRecord(
  { capabilities }: Digitiser,
  { record }: Candidate,
): { readonly rate: number; readonly duration: number } {
  return record ?? { rate: Math.min(10e3, capabilities.highestRate), duration: 0.05 };
}
