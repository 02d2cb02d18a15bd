import { group } from 'd3-array';
import { firmwareLines } from '../../../record/firmware-lines.ts';
import type { ConditionRecord } from '../../../record/run-record.ts';
import { channelName, type VcdChannel } from './vcd-channel.ts';

/** What several passes tell is told apart by the channel that was lit alone. */
type Solo = string | null;

interface Told<Value> {
  readonly at: number;
  readonly value: Value;
}

/** What a condition tells beside its captures: windows, commands and answers, the link, the firmware, readings. */
export function conditionChannels(condition: ConditionRecord): readonly VcdChannel[] {
  const { marks, commands } = condition;
  const sent = commands.map(({ at, link, text }) => ({ at, value: `${link}: ${text}` }));
  const answers = commands.flatMap(({ at, confirmed = at, link, reply }) =>
    reply ? [{ at: confirmed, value: `${link}: ${reply}` }] : [],
  );
  return [
    ...texts(
      'window',
      marks.map(({ at, name }) => ({ at, value: name })),
    ),
    ...texts('command', sent),
    ...texts('answer', answers),
    ...commandedChannels(condition),
    ...heardChannels(condition),
    ...firmwareChannels(condition),
    ...readingChannels(condition),
  ];
}

/** The level that each channel is told to go to: how it goes there is the firmware's. */
function commandedChannels({ commanded = [] }: ConditionRecord): VcdChannel[] {
  return commanded.flatMap(({ channel, segments }) =>
    numbers(
      channelName('target', channel),
      segments.map(([from, , , level]) => ({ at: from, value: level })),
    ),
  );
}

/** What arrived on each link, byte by byte, where the claim holds the lamp to its model. */
function heardChannels({ heard = [] }: ConditionRecord): VcdChannel[] {
  return heard.flatMap(({ solo, heard: events, answered }) => {
    const kinds = group(events, ({ kind }) => kind);
    const own = [...kinds].flatMap(([kind, list]) =>
      texts(
        named(`link_${kind}`, solo),
        list.map((event) => ({ at: event.at, value: eventText(event) })),
      ),
    );
    const back = answered.map((answer) => ({
      at: answer.at,
      value: answer.kind === 'dali' ? hexByte(answer.byte) : answer.lines.join(' | '),
    }));
    return [...own, ...texts(named('link_answer', solo), back)];
  });
}

type Heard = NonNullable<ConditionRecord['heard']>[number]['heard'][number];

function eventText(event: Heard): string {
  const { kind, at: _, ...rest } = event;
  return kind === 'reset' || kind === 'dmx-stops'
    ? kind
    : Object.values(rest)
        .map((value) => String(value))
        .join(' ');
}

function hexByte(byte: number | null): string {
  return byte === null ? '(silent)' : byte.toString(16).padStart(2, '0');
}

function firmwareChannels(condition: ConditionRecord): VcdChannel[] {
  const lines = group(firmwareLines(condition), ({ solo }) => solo);
  const logs = [...lines].flatMap(([solo, own]) =>
    texts(
      named('firmware_log', solo),
      own.map(({ at, text }) => ({ at, value: text })),
    ),
  );
  const probes = (condition.probes ?? []).flatMap(({ solo, name, unit, at, values }) =>
    at.length > 0
      ? [{ name: named(channelName('probe', name, unit), solo), kind: 'real', at, values } as const]
      : [],
  );
  return [...logs, ...probes, ...driveChannels(condition)];
}

/** What the modulators were set to, as the firmware wrote it. */
function driveChannels({ drives = [] }: ConditionRecord): VcdChannel[] {
  return drives.map(({ solo, channel, at, values }) => {
    return { name: named(channelName('drive', channel), solo), kind: 'real', at, values };
  });
}

/** Of the colour sensor, the supply and the air. */
function readingChannels({ readings = [], supply, ambient }: ConditionRecord): VcdChannel[] {
  const colours = [...group(readings, ({ capture }) => capture)].flatMap(([capture, own]) => {
    const of = (read: (one: (typeof own)[number]) => number) =>
      own.map((one) => ({ at: one.at, value: read(one) }));
    return [
      ...numbers(
        channelName(capture, 'Y_lx'),
        of(({ Y }) => Y),
      ),
      ...numbers(
        channelName(capture, 'x'),
        of(({ X, Y, Z }) => X / (X + Y + Z || 1)),
      ),
      ...numbers(
        channelName(capture, 'y'),
        of(({ X, Y, Z }) => Y / (X + Y + Z || 1)),
      ),
    ];
  });
  const supplied = supply?.readings ?? [];
  const air = ambient?.readings ?? [];
  return [
    ...colours,
    ...numbers(
      'supply_V',
      supplied.map(({ at, volts }) => ({ at, value: volts })),
    ),
    ...numbers(
      'supply_A',
      supplied.map(({ at, amps }) => ({ at, value: amps })),
    ),
    ...numbers(
      'air_degC',
      air.map(({ at, celsius }) => ({ at, value: celsius })),
    ),
  ];
}

function named(name: string, solo: Solo): string {
  return solo === null ? channelName(name) : channelName(name, solo, 'alone');
}

function numbers(name: string, told: readonly Told<number>[]): VcdChannel[] {
  if (told.length === 0) return [];
  const sorted = told.toSorted((one, other) => one.at - other.at);
  const [at, values] = [sorted.map((one) => one.at), sorted.map(({ value }) => value)];
  return [{ name, kind: 'real', at, values }];
}

function texts(name: string, told: readonly Told<string>[]): VcdChannel[] {
  if (told.length === 0) return [];
  const sorted = told.toSorted((one, other) => one.at - other.at);
  const [at, values] = [sorted.map((one) => one.at), sorted.map(({ value }) => value)];
  return [{ name, kind: 'text', at, values }];
}
