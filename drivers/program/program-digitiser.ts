import type * as z from 'zod';
import type {
  Acquisition,
  Call,
  Digitiser,
  DigitiserCapabilities,
  RawCapture,
} from '../../harness/bench/ports.ts';
import { recordAnswer } from './program-answers.ts';
import { ProgramInstrument, type ProgramParts } from './program-instrument.ts';

type ArmSetup = Parameters<Digitiser['arm']>[0];

/**
 * A digitiser behind a program that records when it is run and answers with the samples. Where the program does not say when
 * it began, its start is anywhere between the order and the record's length before the answer.
 */
export class ProgramDigitiser extends ProgramInstrument implements Digitiser {
  readonly kind = 'digitiser';
  readonly capabilities: DigitiserCapabilities;

  constructor(parts: ProgramParts, capabilities: DigitiserCapabilities) {
    super(parts);
    this.capabilities = capabilities;
  }

  async arm(setup: ArmSetup, call: Call): Promise<Acquisition> {
    const { inputs, rate, duration } = setup;
    const { highestRate, longestRecord } = this.capabilities;
    if (!(rate > 0 && rate <= highestRate) || duration * rate > longestRecord)
      throw this.error(
        'unsupported',
        `it cannot record ${duration} s at ${rate} S/s, only up to ${highestRate} S/s and ${longestRecord} samples`,
      );
    const started = this.clock.now();
    const order = { do: 'record', inputs: inputs.map(({ input }) => input), rate, duration };
    const patient = { ...call, deadline: call.deadline + duration };
    const finished = this.ask(order, recordAnswer, patient).then((answer) => {
      const begun = this.#begun(started, answer);
      return inputs.map(({ input }): RawCapture => {
        const found = answer.inputs[input];
        const samples = Math.round(duration * rate);
        if (found?.samples.length !== samples)
          throw this.error(
            'garbled',
            `its program sent ${found?.samples.length ?? 'no'} samples of input ${input}; expected ${samples}`,
          );
        const { scale, offset, lowest, highest } = found;
        const codes = Float32Array.from(found.samples);
        const { rate: real } = answer;
        return {
          input,
          codes,
          scale,
          offset,
          unit: 'V',
          lowest,
          highest,
          rate: real,
          ...begun,
        };
      });
    });
    // A record that nobody waits for any more is not an unhandled failure.
    finished.catch(() => {});
    return { started, finished };
  }

  /** When the program says that it began, on this clock; it says so in Unix time, since it has no other that we share. */
  #begun(
    started: number,
    { began, 'standard-began': standardStart }: z.infer<typeof recordAnswer>,
  ): Pick<RawCapture, 'start' | 'standardStart'> {
    if (began === undefined) return { start: started };
    return { start: this.clock.now() - (Date.now() / 1000 - began), standardStart };
  }
}
