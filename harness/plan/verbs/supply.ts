import * as z from 'zod';
import { scalar } from '../../files/schema-parts.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import type { Raw, ValueReader } from '../value-reader.ts';
import { instant, type Verb } from './verb.ts';

export interface SupplyStep {
  readonly verb: 'supply';
  readonly volts?: number;
  readonly output?: 'on' | 'off';
}

const schema = z.strictObject({
  volts: scalar('low, nominal or high of the lamp file, or a voltage.', '44 V').optional(),
  output: z.enum(['on', 'off']).optional(),
});

/** The lamp's supply changes its voltage, its output or both. */
export const supply: Verb<z.infer<typeof schema>, SupplyStep> = {
  verb: 'supply',
  about: "Change the lamp's supply.",
  schema: () => schema,
  read({ volts, output }, reader) {
    if (volts === undefined && output === undefined)
      reader.report('expected volts, output or both, found neither');
    return {
      verb: 'supply',
      ...(volts !== undefined && { volts: readVolts(volts, reader.at('volts')) }),
      ...(output !== undefined && { output }),
    };
  },
  words(step) {
    return `set the supply ${parts(step, (volts) => `to ${formatQuantity(volts, 'voltage')}`)}`;
  },
  lasts: instant,
  needs: ({ volts }) => ({ supply: { volts } }),
  misses: ({ volts, output }, listening) =>
    listening.missOfSupply({
      ...(volts !== undefined && { volts }),
      ...(output !== undefined && { on: output === 'on' }),
    }),
  async perform(step, run) {
    const { volts, output } = step;
    const { port, call } = run.supply();
    if (volts !== undefined) await port.set({ volts }, call);
    if (output !== undefined) await port.output(output === 'on', call);
    run.note({ link: 'supply', text: parts(step, (own) => `${own} V`) });
  },
};

function readVolts(written: Raw, reader: ValueReader): number {
  const word = reader.text(written).trim();
  const { supply: own } = reader.lamp;
  if (word === 'low' || word === 'nominal' || word === 'high') return own[word];
  return reader.figure(written, 'voltage', { least: 0, most: 1000 });
}

function parts({ volts, output }: SupplyStep, voltage: (volts: number) => string): string {
  const both = [
    volts === undefined ? '' : voltage(volts),
    output === undefined ? '' : `output ${output}`,
  ];
  return both.filter(Boolean).join(', ');
}
