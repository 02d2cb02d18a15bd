import * as z from 'zod';
import { BenchError } from '../../bench/errors.ts';
import { type Lamp, slotCount } from '../../bench/lamp.ts';
import type { FrameShape, LampLink, LampTarget } from '../../bench/ports.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import { scalar } from '../../files/schema-parts.ts';
import { formatNumber } from '../../units/format-quantity.ts';
import { frameShape, frameWords, readFrameShape } from '../links/frame-shape.ts';
import { findLanguage } from '../links/link-languages.ts';
import { usualLink } from '../links/usual-link.ts';
import { builtInMixes, type Mix } from '../mix.ts';
import type { Raw, ValueReader } from '../value-reader.ts';
import { linkName, readLinkName } from './named-link.ts';

/** What `set` and `fade` share: a level, a mix or both, by a link. */
export interface LightChange {
  readonly level?: number;
  readonly mix?: Mix;
  readonly link?: string;
  /** How its DMX512 frames are made. */
  readonly frame?: FrameShape;
}

const mix = z
  .union([
    z.string().meta({ description: 'A mix that the lamp file names; `all` always exists.' }),
    z.record(z.string(), scalar('Intensity of the channel.', '65 %')),
  ])
  .meta({ description: 'A named mix is whole; a written one changes the channels that it names.' });

export const lightChangeKeys = {
  level: scalar(
    'Dim level of the whole lamp; `bottom` is the lowest of the lamp.',
    '100 %',
  ).optional(),
  mix: mix.optional(),
  link: linkName.optional(),
  frame: frameShape.optional(),
};

export function readLightChange(
  { level, mix, link, frame }: z.infer<z.ZodObject<typeof lightChangeKeys>>,
  reader: ValueReader,
): LightChange {
  if (level === undefined && mix === undefined)
    reader.report('expected a level, a mix or both, found neither');
  return {
    ...(level !== undefined && { level: readLevel(level, reader.at('level')) }),
    ...(mix !== undefined && { mix: readMix(mix, reader.at('mix')) }),
    ...(link !== undefined && { link: readLinkName(link, reader.at('link')) }),
    ...(frame && { frame: readFrame(frame, link, reader) }),
  };
}

/** Its frames have to reach the lamp's last slot. */
function readFrame(
  written: z.infer<typeof frameShape>,
  link: string | undefined,
  reader: ValueReader,
): FrameShape {
  const at = reader.at('frame');
  if (link === undefined || !['dmx', '$'].some((own) => reader.text(link).includes(own)))
    at.report('frame goes with link: dmx', null, 'key');
  const { links, channels } = reader.lamp;
  const last = links.dmx ? links.dmx.firstSlot - 1 + slotCount(links.dmx, channels.length) : 0;
  const shape = readFrameShape(written, last, at);
  if (shape.slots !== undefined && shape.slots < last)
    at.at('slots').report(
      `expected ${last} slots at least, up to the last of the lamp, found ${shape.slots}; use send for shorter frames`,
    );
  return shape;
}

/** Has the link make such frames for the next command; throws BenchError `unsupported` where it cannot. */
export function shapeFrames(port: LampLink, frame: FrameShape | undefined): void {
  if (!port.shape && !frame) return;
  const why = port.shape ? port.shape(frame ?? null) : 'it has no frames';
  if (why !== null) throw new BenchError('unsupported', port.name, `${port.name}: ${why}`);
}

function readLevel(written: Raw, reader: ValueReader): number {
  if (reader.text(written).trim() === 'bottom') return reader.lamp.curve.bottom;
  return reader.figure(written, 'ratio', { least: 0, most: 1 });
}

function readMix(written: z.infer<typeof mix>, reader: ValueReader): Mix {
  if (typeof written !== 'string') return { intensities: readIntensities(written, reader) };
  const name = reader.text(written);
  const { lamp, lampFits } = reader;
  const known = [...Object.keys(lamp.mixes), ...builtInMixes];
  if (!lampFits || name.includes('$') || known.includes(name)) return { name };
  const guess = didYouMean(name, known) || `; it has: ${known.join(', ')}`;
  reader.report(`lamp ${lamp.lamp} has no mix "${name}"${guess}`, written);
  return { name };
}

function readIntensities(
  written: Readonly<Record<string, Raw>>,
  reader: ValueReader,
): Record<string, number> {
  const intensities: Record<string, number> = {};
  const named = new Set<string>();
  for (const [key, value] of Object.entries(written)) {
    const entry = reader.at(key);
    const intensity = entry.figure(value, 'ratio', { least: 0, most: 1 });
    const channel = entry.text(key, 'key');
    if (channel === 'each-channel') {
      // The channels that are named beside it keep what is written for them, wherever it stands.
      for (const own of reader.lamp.channels) intensities[own.channel] ??= intensity;
      continue;
    }
    checkChannel(channel, key, entry);
    if (named.has(channel)) entry.report(`${channel} is in the mix twice`, key, 'key');
    named.add(channel);
    intensities[channel] = intensity;
  }
  return intensities;
}

function checkChannel(channel: string, written: string, reader: ValueReader): void {
  const { lamp, lampFits } = reader;
  const known = [...lamp.channels.map((own) => own.channel), 'each-channel'];
  if (!lampFits || channel.includes('$') || known.includes(channel)) return;
  const guess = didYouMean(channel, known) || `; it has: ${known.join(', ')}`;
  reader.report(`lamp ${lamp.lamp} has no channel "${channel}"${guess}`, written, 'key');
}

/** Lamp time that the link itself takes, s; links where it is too short to plan for take it from the hold that follows. */
export function settingTime({ link, mix }: Pick<LightChange, 'link' | 'mix'>, lamp: Lamp): number {
  return findLanguage(link ?? usualLink(lamp.links))?.settingTime?.(lamp, mix !== undefined) ?? 0;
}

/** `level 10 %, mix neutral` */
export function lightChangeWords({ level, mix }: LightChange): string {
  const dim = level === undefined ? [] : [`level ${percentWords(level)}`];
  return [...dim, ...(mix ? [mixWords(mix)] : [])].join(', ');
}

function mixWords(mix: Mix): string {
  if ('name' in mix) return `mix ${mix.name}`;
  const parts = Object.entries(mix.intensities).map(
    ([channel, own]) => `${channel} ${percentWords(own)}`,
  );
  return parts.join(', ');
}

export function linkWords({ link, frame }: LightChange): string {
  return link === undefined ? '' : ` by ${link}${frameWords(frame)}`;
}

function percentWords(value: number): string {
  return `${formatNumber(value * 100)} %`;
}

/** The target as the record of a run shows it. */
export function targetText({ level, intensities }: LampTarget): string {
  const mix = Object.entries(intensities).map(([channel, value]) => `${channel} ${percent(value)}`);
  return `level ${percent(level)}, ${mix.join(', ')}`;
}

function percent(ratio: number): string {
  return `${Number((ratio * 100).toPrecision(5))} %`;
}
