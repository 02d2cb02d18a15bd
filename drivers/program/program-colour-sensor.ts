import type { Call, ColourSensor } from '../../harness/bench/ports.ts';
import type { SensorReading } from '../../harness/measure/observation.ts';
import { colourAnswer } from './program-answers.ts';
import { ProgramInstrument } from './program-instrument.ts';

/** A tristimulus head behind a program. */
export class ProgramColourSensor extends ProgramInstrument implements ColourSensor {
  readonly kind = 'colour-sensor';

  /** `at` is the middle of the time that the program took: it starts late and ends early by as much. */
  async read(
    { integration }: { readonly integration: number },
    call: Call,
  ): Promise<SensorReading> {
    const began = this.clock.now();
    const patient = { ...call, deadline: call.deadline + integration };
    const { X, Y, Z, state } = await this.ask({ do: 'read', integration }, colourAnswer, patient);
    return { at: (began + this.clock.now()) / 2, integration, X, Y, Z, state };
  }
}
