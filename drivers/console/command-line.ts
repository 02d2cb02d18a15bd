import type { ConsoleLink } from '../../harness/bench/lamp.ts';
import type { Identity, LampTarget } from '../../harness/bench/ports.ts';
import { plainLine } from '../../harness/files/plain-text.ts';

/** What a line of the lamp's console orders. Level and intensities 0..1, `over` in s (0: at once). */
export type ConsoleCommand =
  | {
      readonly order: 'light';
      readonly level: number;
      readonly intensities: readonly number[];
      readonly over: number;
    }
  | { readonly order: 'off' | 'reset' | 'identify' | 'temperature' };

/** The line that sets a level and a mix at once, without line end. Intensities go out in `channels` order. */
export function setLine(link: ConsoleLink, channels: readonly string[], to: LampTarget): string {
  return filled(link.set, channels, to, 0);
}

/** The line that fades to a level and a mix in `over` seconds (sent in whole milliseconds). */
export function fadeLine(
  link: ConsoleLink,
  channels: readonly string[],
  to: LampTarget,
  over: number,
): string {
  return filled(link.fade, channels, to, over);
}

/** A ratio as per cent with up to 5 decimals and no trailing zeros: 0.001 -> `0.1`. */
export function percentText(ratio: number): string {
  return (ratio * 100).toFixed(5).replace(/\.?0+$/, '');
}

function filled(template: string, channels: readonly string[], to: LampTarget, over: number) {
  const intensities = channels.map((channel) => percentText(to.intensities[channel] ?? 0));
  return template
    .replaceAll('{level}', percentText(to.level))
    .replaceAll('{intensities}', intensities.join(' '))
    .replaceAll('{milliseconds}', String(Math.round(over * 1000)));
}

/**
 * Reads a line by the same templates, as the lamp does. Returns what is ordered, or the reason for a refusal in words.
 * Numbers out of range are refused, never clamped: a console is for people and tools that know what they ask for. `held` gives null
 * for those.
 */
export function readCommand(
  link: ConsoleLink,
  line: string,
  channels: number,
  held: (ratio: number) => number | null = withinOne,
): ConsoleCommand | { readonly refused: string } {
  const text = line.trim().replace(/\s+/g, ' ');
  if (text === link.off) return { order: 'off' };
  if (text === link.reset) return { order: 'reset' };
  if (text === link.identify) return { order: 'identify' };
  if (text === link.temperature) return { order: 'temperature' };
  const fields = matched(link.fade, text) ?? matched(link.set, text);
  if (!fields) return { refused: 'unknown command' };
  const level = Number(fields.get('level') ?? 100) / 100;
  const intensities = (fields.get('intensities') ?? '')
    .split(' ')
    .map((part) => Number(part) / 100);
  const over = Number(fields.get('milliseconds') ?? 0) / 1000;
  if (intensities.length !== channels) return { refused: `${channels} intensities wanted` };
  const [dim, ...mix] = [level, ...intensities].flatMap((part) => held(part) ?? []);
  if (dim === undefined || mix.length < channels) return { refused: 'per cent out of range' };
  if (!(over >= 0 && over <= 86400)) return { refused: 'time out of range' };
  return { order: 'light', level: dim, intensities: mix, over };
}

/** A ratio as it is, null beyond 0 to 1. */
export function withinOne(ratio: number): number | null {
  return ratio >= 0 && ratio <= 1 ? ratio : null;
}

const fieldPattern: Readonly<Record<string, string>> = {
  level: String.raw`(?<level>\d+(?:\.\d*)?)`,
  intensities: String.raw`(?<intensities>\d+(?:\.\d*)?(?: \d+(?:\.\d*)?)*)`,
  milliseconds: String.raw`(?<milliseconds>\d+)`,
};

function matched(template: string, text: string): ReadonlyMap<string, string> | null {
  const pattern = template
    .split(/(\{\w+\})/)
    .map((part) => fieldPattern[part.slice(1, -1)] ?? part.replace(/[.*+?^${}()|[\]\\]/g, '\\$&'))
    .join('');
  const found = new RegExp(`^${pattern}$`).exec(text)?.groups;
  return found ? new Map(Object.entries(found)) : null;
}

/** Whether a reply says that the command was understood. */
export function isOk(link: ConsoleLink, reply: string): boolean {
  return reply.trim() === link.ok;
}

/** An identity line: maker, model, serial, firmware with commas between; missing fields stay empty. */
export function readIdentity(reply: string): Identity {
  const raw = plainLine(reply);
  const [maker = '', model = '', serial = '', firmware = ''] = raw
    .split(',')
    .map((field) => field.trim());
  return { maker, model, serial, firmware, raw };
}

/** The first figure of an answer, °C; null where there is none that a board can have. */
export function readTemperature(reply: string): number | null {
  const figure = /[+-]?\d+(?:\.\d+)?/.exec(reply)?.[0];
  const celsius = Number(figure);
  return figure !== undefined && celsius >= -100 && celsius <= 300 ? celsius : null;
}

/** Longest line, in bytes, that a console of a lamp has to take. */
export const longestLine = 255;
