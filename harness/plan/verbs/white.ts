import * as z from 'zod';
import { scalar } from '../../files/schema-parts.ts';
import { mirekOf, temperatureMessages } from '../links/colour-commands.ts';
import type { ValueReader } from '../value-reader.ts';
import { readLinkName } from './named-link.ts';
import { reaches, type Verb } from './verb.ts';

export interface WhiteStep {
  readonly verb: 'white';
  /** Colour temperature as it goes over the bus. */
  readonly mirek: number;
}

const schema = z.strictObject({ temperature: scalar('Colour temperature.', '4000 K') });

/** Two registers, and two commands behind ENABLE DEVICE TYPE. */
const frames = 6;
/** A frame with its gap, s (IEC 62386-101, confirmed in public texts). */
const frameTime = 0.031;

/**
 * The lamp goes to a colour temperature, at the level that it has, and mixes its whites by itself: IEC 62386-209. What each
 * channel does for it is the lamp's own, so that the commanded light knows nothing of it.
 */
export const white: Verb<z.infer<typeof schema>, WhiteStep> = {
  verb: 'white',
  about: 'Go to a colour temperature, which the lamp mixes by itself.',
  schema: () => schema,
  read({ temperature }, reader) {
    readLinkName('dali', reader);
    const kelvin = reader.at('temperature').figure(temperature, 'colour-temperature', { above: 0 });
    if (Number.isNaN(kelvin)) return null;
    checkRange(kelvin, temperature, reader);
    return { verb: 'white', mirek: mirekOf(kelvin) };
  },
  words: ({ mirek }) => `go to ${temperatureText(mirek)} by dali`,
  lasts: () => frames * frameTime,
  needs: () => ({ link: 'dali' }),
  misses: reaches,
  async perform({ mirek }, run) {
    const { port, call } = run.link('dali');
    const shortAddress = run.lamp.links.dali?.shortAddress ?? 0;
    for (const message of temperatureMessages(mirek, shortAddress)) await port.send(message, call);
    run.note({ link: 'dali', text: temperatureText(mirek), effect: run.effectOf(port) });
  },
};

/** A lamp file that names no range promises none, and beyond its range the lamp holds the limit. */
function checkRange(kelvin: number, written: string | number, reader: ValueReader): void {
  const { lamp, lampFits } = reader;
  if (!lampFits) return;
  const range = lamp.links.dali?.tunableWhite;
  const at = reader.at('temperature');
  if (!range)
    at.report(
      `lamp ${lamp.lamp} has no colour temperature that could be commanded; add "needs: { tunable-white: true }" for a claim about lamps that have, or links.dali.tunable-white to the lamp file`,
      written,
    );
  else if (mirekOf(kelvin) > mirekOf(range.warmest) || mirekOf(kelvin) < mirekOf(range.coolest))
    at.report(
      `expected ${range.warmest} K to ${range.coolest} K, which lamp ${lamp.lamp} has, found ${kelvin} K`,
      written,
    );
}

/** `250 mirek (4000 K)` */
function temperatureText(mirek: number): string {
  return `${mirek} mirek (${Math.round(1e6 / mirek)} K)`;
}
