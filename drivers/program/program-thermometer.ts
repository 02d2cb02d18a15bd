import type { Call, Thermometer } from '../../harness/bench/ports.ts';
import { thermometerAnswer } from './program-answers.ts';
import { ProgramInstrument } from './program-instrument.ts';

/** A thermometer behind a program. */
export class ProgramThermometer extends ProgramInstrument implements Thermometer {
  readonly kind = 'thermometer';

  async read(call: Call): Promise<{ readonly celsius: number }> {
    const { celsius } = await this.ask({ do: 'read' }, thermometerAnswer, call);
    return { celsius };
  }
}
