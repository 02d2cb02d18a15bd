import * as z from 'zod';
import { didYouMean } from '../../files/did-you-mean.ts';
import { rawLinks } from '../links/link-languages.ts';
import type { ValueReader } from '../value-reader.ts';

/** The key by which a step names the link that carries it. */
export const linkName = z
  .string()
  .meta({ description: `Link that carries it: ${rawLinks.join(', ')}.`, examples: ['dmx'] });

/** A link of the lamp; reports one that it does not have. */
export function readLinkName(written: string, reader: ValueReader): string {
  const link = reader.text(written);
  const { lamp, lampFits } = reader;
  const known = Object.keys(lamp.links);
  if (!lampFits || link.includes('$') || known.includes(link)) return link;
  const hint = (rawLinks as readonly string[]).includes(link)
    ? `; add "needs: { links: [${link}] }" for a claim about lamps that have it`
    : didYouMean(link, known) || `; it has: ${known.join(', ')}`;
  reader.report(`lamp ${lamp.lamp} has no link "${link}"${hint}`, written);
  return link;
}
