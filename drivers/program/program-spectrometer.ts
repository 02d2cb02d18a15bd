import type { Call, Spectrometer, Spectrum } from '../../harness/bench/ports.ts';
import { spectrumAnswer } from './program-answers.ts';
import { ProgramInstrument } from './program-instrument.ts';

const nanometre = 1e-9;
/** W/(m² nm) in W/m³. */
const perNanometre = 1e9;

/** A spectrometer behind a program. */
export class ProgramSpectrometer extends ProgramInstrument implements Spectrometer {
  readonly kind = 'spectrometer';

  /** `at` is the middle of the time that the program took: it starts late and ends early by as much. */
  async measure({ integration }: { readonly integration: number }, call: Call): Promise<Spectrum> {
    if (!(integration > 0))
      throw this.error('unsupported', `an integration time of ${integration} s gives no spectrum`);
    const began = this.clock.now();
    const patient = { ...call, deadline: call.deadline + integration };
    const answer = await this.ask({ do: 'read', integration }, spectrumAnswer, patient);
    const { from, step, values, state, bandwidth } = answer;
    const { 'standard-wavelength': standardWavelength, 'standard-xy': standardXy } = answer;
    return {
      at: (began + this.clock.now()) / 2,
      integration,
      from: from * nanometre,
      step: step * nanometre,
      values: Float64Array.from(values, (value) => value * perNanometre),
      state,
      ...(bandwidth !== undefined && { bandwidth: bandwidth * nanometre }),
      ...(standardWavelength !== undefined && {
        standardWavelength: standardWavelength * nanometre,
      }),
      ...(standardXy !== undefined && { standardXy }),
    };
  }
}
