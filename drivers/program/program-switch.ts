import type { Call, PowerSwitch, SwitchReading } from '../../harness/bench/ports.ts';
import { doneAnswer, switchAnswer } from './program-answers.ts';
import { ProgramInstrument } from './program-instrument.ts';

/** A relay or smart switch behind a program. It is believed when it reads back as it was told. */
export class ProgramSwitch extends ProgramInstrument implements PowerSwitch {
  readonly kind = 'switch';

  async output(on: boolean, call: Call): Promise<void> {
    await this.ask({ do: 'output', on }, doneAnswer, call);
    const { on: found } = await this.read(call);
    if (found === on) return;
    const [told, says] = on ? ['on', 'off'] : ['off', 'on'];
    throw this.error(
      'refused',
      `it was switched ${told}, but its program says that it is ${says}; look at the relay and its wires`,
    );
  }

  async read(call: Call): Promise<SwitchReading> {
    const { on, watts, amps } = await this.ask({ do: 'read' }, switchAnswer, call);
    return { on, ...(watts !== undefined && { watts }), ...(amps !== undefined && { amps }) };
  }
}
