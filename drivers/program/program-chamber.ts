import type { Call, Chamber, ChamberReading } from '../../harness/bench/ports.ts';
import type { ChamberLimits } from '../../harness/bench/rig.ts';
import { mustBeAllowed } from '../chamber-limits.ts';
import { chamberAnswer, doneAnswer } from './program-answers.ts';
import { ProgramInstrument, type ProgramParts } from './program-instrument.ts';

/** A temperature chamber behind a program. */
export class ProgramChamber extends ProgramInstrument implements Chamber {
  readonly kind = 'chamber';
  readonly #limits: ChamberLimits;

  constructor(parts: ProgramParts, limits: ChamberLimits) {
    super(parts);
    this.#limits = limits;
  }

  async set({ celsius }: { readonly celsius: number }, call: Call): Promise<void> {
    mustBeAllowed(this.name, celsius, this.#limits);
    await this.ask({ do: 'set', celsius }, doneAnswer, call);
  }

  async stop(call: Call): Promise<void> {
    await this.ask({ do: 'stop' }, doneAnswer, call);
  }

  async read(call: Call): Promise<ChamberReading> {
    const answer = await this.ask({ do: 'read' }, chamberAnswer, call);
    const { celsius, 'set-point': setPoint, on, alarms } = answer;
    return { celsius, on, ...(setPoint !== undefined && { setPoint }), ...(alarms && { alarms }) };
  }
}
