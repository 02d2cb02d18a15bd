import type { VcdChannel } from './vcd-channel.ts';

export interface VcdFile {
  /** Lines for whoever opens it as text. */
  readonly comment: readonly string[];
  readonly scope: string;
  readonly channels: readonly VcdChannel[];
  /** What is shown, s on the condition's time line: `from` is the file's 0. */
  readonly from: number;
  readonly to: number;
}

const perSecond = 1e9;
/** Bytes of a text that are shown. */
const widest = 96;

/** One channel as it is written: identifier, width in bits, and its changes in whole nanoseconds. */
interface Written {
  readonly id: string;
  readonly channel: VcdChannel;
  readonly width: number;
  readonly ticks: Float64Array;
  /** Place of the first change that is shown; the one before it, if any, holds at the start. */
  place: number;
}

/**
 * A value change dump in nanoseconds. Instants are rounded to the nearest; texts of one channel and instant follow one another by a
 * nanosecond, since the later would hide the earlier. A number before its first value has none in the format, and is left out until then.
 * Source: IEEE 1364-2005, clause 18 (from memory).
 */
export function renderVcd({ comment, scope, channels, from, to }: VcdFile): string {
  const written = channels.map((channel, index) => writtenOf(channel, index, from));
  const parts = [
    `$comment\n${comment.map((line) => `  ${line.replaceAll('$', ' ')}\n`).join('')}$end\n`,
    '$timescale 1 ns $end\n',
    `$scope module ${scope} $end\n`,
    ...written.map(declaration),
    '$upscope $end\n$enddefinitions $end\n#0\n$dumpvars\n',
    ...written.map(initial),
    '$end\n',
  ];
  const last = Math.round((to - from) * perSecond);
  writeChanges(written, last, parts);
  parts.push(`#${last}\n`);
  return parts.join('');
}

function writtenOf(channel: VcdChannel, index: number, from: number): Written {
  const { kind, at, values } = channel;
  const ticks = new Float64Array(at.length);
  let before = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < ticks.length; k++) {
    const tick = Math.round(((at[k] ?? 0) - from) * perSecond);
    before = kind === 'text' ? Math.max(tick, before + 1) : tick;
    ticks[k] = before;
  }
  const texts = kind === 'text' ? (values as readonly string[]) : [];
  const bytes = Math.max(1, ...texts.map((text) => bytesOf(text).length));
  const width = { real: 64, bit: 1, text: 8 * bytes }[kind];
  const place = ticks.findIndex((tick) => tick > 0);
  return { id: identifier(index), channel, width, ticks, place: place < 0 ? ticks.length : place };
}

/** Printable characters from ! to ~, the shortest first. */
function identifier(index: number): string {
  const [first, count] = [33, 94];
  const digit = String.fromCharCode(first + (index % count));
  return index < count ? digit : `${identifier(Math.floor(index / count) - 1)}${digit}`;
}

function declaration({ id, channel: { name, kind }, width }: Written): string {
  const type = { real: 'real', bit: 'wire', text: 'reg' }[kind];
  return `$var ${type} ${width} ${id} ${name} $end\n`;
}

function initial(one: Written): string {
  if (one.place > 0) return `${valueText(one, one.place - 1)}\n`;
  return { real: '', bit: `x${one.id}\n`, text: `bx ${one.id}\n` }[one.channel.kind];
}

/** Values that differ from the one before, of all channels in order of time. */
function writeChanges(written: readonly Written[], last: number, parts: string[]): void {
  const places = written.map(({ place }) => place);
  for (;;) {
    let now = Number.POSITIVE_INFINITY;
    for (const [k, { ticks }] of written.entries()) {
      const tick = ticks[places[k] ?? 0] ?? Number.POSITIVE_INFINITY;
      if (tick < now) now = tick;
    }
    if (now > last) return;
    const changes = written.flatMap((one, k) => {
      let place = places[k] ?? 0;
      const before = place - 1;
      while (one.ticks[place] === now) place++;
      places[k] = place;
      const changed =
        place - 1 > before && (before < 0 || valueAt(one, place - 1) !== valueAt(one, before));
      return changed ? [`${valueText(one, place - 1)}\n`] : [];
    });
    if (changes.length > 0) parts.push(`#${now}\n`, ...changes);
  }
}

function valueAt({ channel: { values } }: Written, place: number): number | string {
  return values[place] ?? 0;
}

function valueText(one: Written, place: number): string {
  const value = valueAt(one, place);
  switch (one.channel.kind) {
    case 'real':
      return `r${Number(Number(value).toPrecision(9))} ${one.id}`;
    case 'bit':
      return `${value === 1 ? 1 : 0}${one.id}`;
    case 'text':
      return `b${bitsOf(String(value))} ${one.id}`;
  }
}

/** As long as fits, without a part of a character at its end. */
function bytesOf(text: string): Uint8Array {
  const bytes = new TextEncoder().encode(text);
  if (bytes.length <= widest) return bytes;
  let end = widest;
  while (((bytes[end] ?? 0) & 0xc0) === 0x80) end--;
  return bytes.subarray(0, end);
}

function bitsOf(text: string): string {
  const bits = Array.from(bytesOf(text), (byte) => byte.toString(2).padStart(8, '0')).join('');
  return bits.replace(/^0+(?=.)/, '') || '0';
}
