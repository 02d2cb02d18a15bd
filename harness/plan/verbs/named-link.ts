import * as z from 'zod';
import { type LinkFacts, linkNames, links } from '../../bench/links.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import { rawLinks } from '../links/link-languages.ts';
import type { ValueReader } from '../value-reader.ts';

/** The key by which a step names the link that carries it. */
export const linkName = z
  .string()
  .meta({ description: `Link that carries it: ${rawLinks.join(', ')}.`, examples: ['dmx'] });

/** What not every link can do. */
const abilities = {
  stops: 'has no signal that can be stopped',
  takesNoise: 'carries whole messages only, no noise',
} as const satisfies Partial<Record<keyof LinkFacts, string>>;

/** A link of the lamp; reports one that it does not have, or that cannot do what the step asks for. */
export function readLinkName(
  written: string,
  reader: ValueReader,
  ability?: keyof typeof abilities,
): string {
  const link = reader.text(written);
  const { lamp, lampFits } = reader;
  const known = Object.keys(lamp.links);
  if (lampFits && !link.includes('$') && !known.includes(link)) {
    const hint = (rawLinks as readonly string[]).includes(link)
      ? `; add "needs: { links: [${link}] }" for a claim about lamps that have it`
      : didYouMean(link, known) || `; it has: ${known.join(', ')}`;
    reader.report(`lamp ${lamp.lamp} has no link "${link}"${hint}`, written);
  }
  const own = linkNames.find((name) => name === link);
  if (ability && own && !links[own][ability]) {
    const able = linkNames.filter((name) => links[name][ability]).join(', ');
    reader.report(`${link} ${abilities[ability]}; use one of ${able}`, written);
  }
  return link;
}

/** The link of a property; reports a lamp that does not speak on it. */
export function readPropertyLink(link: 'dali' | 'dmx', reader: ValueReader): void {
  readLinkName(link, reader);
  const { lamp, lampFits } = reader;
  if (link !== 'dmx' || !lampFits || !lamp.links.dmx || lamp.links.dmx.rdm) return;
  reader.report(
    `lamp ${lamp.lamp} does not say that it speaks RDM; add "needs: { rdm: true }" for a claim about lamps that do, or links.dmx.rdm to the lamp file`,
  );
}
