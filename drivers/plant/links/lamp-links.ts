import type { LampLink } from '../../../harness/bench/ports.ts';
import { PlantConsoleLink } from './console-link.ts';
import { PlantDaliLink } from './dali-link.ts';
import { PlantDmxLink } from './dmx-link.ts';
import type { LampLinkParts } from './lamp-link-parts.ts';
import { PlantSacnLink } from './sacn-link.ts';

/** A simulated instrument for one of the lamp's links, or null when the lamp file has no such link. */
export function lampLink(link: string, parts: LampLinkParts): LampLink | null {
  const { links } = parts.lamp;
  switch (link) {
    case 'console':
      return links.console ? new PlantConsoleLink(parts, links.console) : null;
    case 'dali':
      return links.dali ? new PlantDaliLink(parts, links.dali.shortAddress) : null;
    case 'dmx':
      return links.dmx ? new PlantDmxLink(parts, links.dmx) : null;
    case 'sacn':
      return links.sacn ? new PlantSacnLink(parts, links.sacn) : null;
    default:
      return null;
  }
}
