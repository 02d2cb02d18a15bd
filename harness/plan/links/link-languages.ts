import type { RawMessage } from '../../bench/ports.ts';
import { consoleLanguage } from './console.ts';
import { daliLanguage } from './dali.ts';
import { dmxLanguage } from './dmx.ts';
import type { LinkLanguage } from './link-language.ts';
import { sacnLanguage } from './sacn.ts';

/** Every link on which a spec may send something as it is, in the order in which lists name them. */
export const linkLanguages: Readonly<Record<RawMessage['link'], LinkLanguage>> = {
  console: consoleLanguage,
  dali: daliLanguage,
  dmx: dmxLanguage,
  sacn: sacnLanguage,
};

export const rawLinks = Object.keys(linkLanguages) as readonly RawMessage['link'][];

/** The language of a link by its name; undefined for one on which nothing can be sent as it is. */
export function findLanguage(link: string | undefined): LinkLanguage | undefined {
  return Object.values(linkLanguages).find((language) => language.link === link);
}
