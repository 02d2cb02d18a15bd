import type { Call, Supply, SupplyReading } from '../../harness/bench/ports.ts';
import { doneAnswer, supplyAnswer } from './program-answers.ts';
import { ProgramInstrument, type ProgramParts } from './program-instrument.ts';

/** A supply behind a program. */
export class ProgramSupply extends ProgramInstrument implements Supply {
  readonly kind = 'supply';
  readonly #highestVolts: number;

  constructor(parts: ProgramParts, highestVolts: number) {
    super(parts);
    this.#highestVolts = highestVolts;
  }

  async set(
    { volts, limitAmps }: { readonly volts: number; readonly limitAmps?: number },
    call: Call,
  ): Promise<void> {
    if (!(volts >= 0 && volts <= this.#highestVolts))
      throw this.error(
        'refused',
        `the rig file does not allow ${volts} V, only 0 to ${this.#highestVolts} V; nothing was changed`,
      );
    await this.ask({ do: 'set', volts, 'limit-amps': limitAmps ?? null }, doneAnswer, call);
  }

  async output(on: boolean, call: Call): Promise<void> {
    await this.ask({ do: 'output', on }, doneAnswer, call);
  }

  async read(call: Call): Promise<SupplyReading> {
    const { volts, amps, on, mode, protections } = await this.ask(
      { do: 'read' },
      supplyAnswer,
      call,
    );
    return { volts, amps, on, ...(mode && { mode }), ...(protections && { protections }) };
  }
}
