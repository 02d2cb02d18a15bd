import type { Lamp } from '../bench/lamp.ts';
import { links as linkFacts, linkNames } from '../bench/links.ts';
import type { Needs } from './plan.ts';

/** Why a claim makes no sense for this lamp, in one sentence; null where it does. */
export function unmetNeed(needs: Needs, lamp: Lamp): string | null {
  const { channels, links, supply, stage, modulation, mixes } = needs;
  const has = `lamp ${lamp.lamp} has`;
  if (channels !== undefined && lamp.channels.length < channels)
    return `needs ${channels} channels, but ${has} ${lamp.channels.length}`;
  const link = links?.find((name) => !(name in lamp.links));
  if (link) return `needs a ${link} link, but ${has} ${Object.keys(lamp.links).join(', ')}`;
  const any = needs['any-link'];
  if (any && !any.some((name) => name in lamp.links))
    return `needs a ${any.join(' or ')} link, but ${has} ${Object.keys(lamp.links).join(', ')}`;
  const loss = needs['on-loss'] && otherLoss(needs['on-loss'], links ?? any ?? [], lamp);
  if (loss) return `needs on-loss: ${needs['on-loss']}, but ${has} ${loss}`;
  const bits = needs['slot-bits'] && otherBits(needs['slot-bits'], lamp);
  if (bits) return `needs slot-bits: ${needs['slot-bits']}, but ${has} ${bits}`;
  const powerOn = needs['power-on'] && otherPowerOn(lamp);
  if (powerOn) return `needs as-delivered: { power-on: last }, but ${has} ${powerOn}`;
  if (supply && lamp.supply.kind !== supply)
    return `needs a ${supply} supply, but ${has} a ${lamp.supply.kind} one`;
  if (stage && lamp.stage.kind !== stage)
    return `needs a ${stage} stage, but ${has} a ${lamp.stage.kind} one`;
  if (modulation && lamp.modulation.kind !== modulation)
    return `needs ${modulation} modulation, but ${has} ${lamp.modulation.kind}`;
  if (needs['tunable-white'] && !lamp.links.dali?.tunableWhite)
    return `needs tunable white over dali, but ${has} none`;
  if (needs.primaries && !(lamp.links.dali && lamp.channels.length <= mostPrimaries))
    return `needs channels that are all primaries on dali (${mostPrimaries} at most), but ${has} ${lamp.channels.length} channels and ${lamp.links.dali ? 'a' : 'no'} dali link`;
  const bank = needs.banks?.find((own) => !lamp.links.dali?.banks?.includes(own));
  if (bank !== undefined)
    return `needs DALI memory bank ${bank}, but ${has} ${lamp.links.dali?.banks?.join(', ') ?? 'none'}`;
  if (needs.rdm && !lamp.links.dmx?.rdm) return `needs RDM on a dmx link, but ${has} none`;
  const mix = mixes?.find((name) => !Object.hasOwn(lamp.mixes, name));
  if (mix)
    return `needs a mix named ${mix}, but ${has} ${Object.keys(lamp.mixes).join(', ') || 'none'}`;
  return null;
}

/** Primaries of colour control gear, IEC 62386-209. */
const mostPrimaries = 6;

const streamingLinks = linkNames.filter((name) => linkFacts[name].streams);

/** What the lamp has instead of streaming links whose values have so many bits; null where they have. */
function otherBits(wanted: 8 | 16, { links }: Lamp): string | null {
  const found = Object.values(links).flatMap((link) => ('bits' in link ? [link.bits] : []));
  if (found.length === 0) return `${streamingLinks.map((name) => `no ${name}`).join(' and ')} link`;
  const other = found.find((bits) => bits !== wanted);
  return other ? `${other} bits` : null;
}

/** What the lamp has instead of streaming links that all do this without a signal; null where they do. */
function otherLoss(
  wanted: 'hold' | 'off',
  named: readonly string[],
  { links }: Lamp,
): string | null {
  const isAsked = (name: string): boolean => named.length === 0 || named.includes(name);
  const actions = Object.entries(links).flatMap(([name, link]) =>
    isAsked(name) && 'onLoss' in link ? [link.onLoss] : [],
  );
  if (actions.length === 0)
    return `${streamingLinks.map((name) => `no ${name}`).join(' and ')} link`;
  const other = actions.find((action) => action !== wanted);
  return other ? `on-loss: ${other}` : null;
}

/** What the lamp shows instead of its last level when its power returns; null where that comes back, or its file does not say. */
function otherPowerOn({ asDelivered }: Lamp): string | null {
  const { powerOn = 'last' } = asDelivered ?? {};
  return powerOn === 'last' ? null : `a level of ${100 * powerOn} %`;
}
