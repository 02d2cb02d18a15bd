import type { HeardOf } from '../bench/heard.ts';
import { exactly, hull } from './band.ts';
import { type Order, readLine } from './console-line.ts';
import { belowBottom, boundedByGear, mixNow, moveLight } from './light.ts';
import { noteOtherLink } from './other-link.ts';
import { restartFirmware } from './restart.ts';
import type { Moment, PossibleAnswer, Reaction, World } from './world.ts';
import { fork } from './worlds.ts';

const refused: readonly PossibleAnswer[] = ['other-line', 'silence'];

/** A whole line. What the lamp file's templates do not make changes nothing. */
export function hearLine(
  world: World,
  { line }: HeardOf<'console'>,
  moment: Moment,
): readonly Reaction[] {
  const clean = { ...world, consoleRest: '' };
  const alone = reactTo(clean, line, moment);
  if (world.consoleRest !== '') {
    const joined = reactTo(clean, world.consoleRest + line, moment);
    return doubtful('bytes before the line may or may not be a part of it', alone, joined);
  }
  if (moment.at >= world.power.deafUntil) return alone;
  const cut = endsThatRead(line, moment).map((end) => reactTo(clean, end, moment));
  return cut.length === 0
    ? alone
    : doubtful('the lamp started as the line came: it may have heard the end of it', alone, ...cut);
}

/** Ends of a line that are orders by themselves: a level and a mix behind the time of a fade, say. */
function endsThatRead(line: string, { lamp }: Moment): readonly string[] {
  const link = lamp.links.console;
  if (!link) return [];
  return Array.from(line.slice(1), (_, index) => line.slice(index + 1)).filter(
    (end) => readLine(link, end, lamp.channels.length)?.sure,
  );
}

/** Bytes that are no line by themselves: line ends in them close one. */
export function hearBytes(
  world: World,
  { bytes }: HeardOf<'console-bytes'>,
  moment: Moment,
): readonly Reaction[] {
  const lines = (world.consoleRest + String.fromCharCode(...bytes)).split(/[\r\n]/);
  const rest = lines.pop() ?? '';
  let worlds: readonly World[] = [{ ...world, consoleRest: '' }];
  for (const line of lines)
    worlds = worlds.flatMap((one) => reactTo(one, line, moment).map((after) => after.world));
  return worlds.map((one) => ({
    world: { ...one, consoleRest: rest },
    answers: lines.length > 0 ? ['any'] : ['other-line', 'silence'],
  }));
}

function reactTo(world: World, line: string, moment: Moment): readonly Reaction[] {
  const link = moment.lamp.links.console;
  if (!link) return [{ world, answers: ['silence'] }];
  const read = readLine(link, line, moment.lamp.channels.length);
  if (!read) return [{ world, answers: refused }];
  const obeyed = obey(world, read.order, moment).map((after) => ({
    world: after,
    answers: answersTo(read.order, link.ok),
  }));
  if (read.sure) return obeyed;
  return doubtful('the line is written in another way than the lamp file has it', obeyed, [
    { world, answers: refused },
  ]);
}

function doubtful(why: string, ...cases: readonly (readonly Reaction[])[]): readonly Reaction[] {
  return cases.flat().map(({ world, answers }) => {
    const [doubted = world] = fork(why, world);
    return answers ? { world: doubted, answers } : { world: doubted };
  });
}

function answersTo({ is }: Order, ok: string): readonly PossibleAnswer[] {
  if (is === 'identify' || is === 'temperature') return ['other-line'];
  return is === 'reset' ? [{ line: ok }, 'silence'] : [{ line: ok }];
}

function obey(world: World, order: Order, moment: Moment): readonly World[] {
  switch (order.is) {
    case 'light':
      return [takeLight(world, order, moment)];
    case 'off':
      return [takeLight(world, { level: 0, intensities: null, over: 0 }, moment)];
    case 'reset':
      return restartFirmware(world, moment);
    default:
      return [world];
  }
}

interface LightOrder {
  readonly level: number;
  /** Null leaves the mix as it is. */
  readonly intensities: readonly number[] | null;
  readonly over: number;
}

/** Dim level and mix at once: brightness is their product. A fade is straight in the domain of the dimming curve. */
function takeLight(world: World, order: LightOrder, moment: Moment): World {
  const { curve } = moment.lamp;
  const { allowances } = moment;
  const level = exactly(order.level);
  // The lowest level is what the lamp can do: a lower one may be raised to it.
  const possible =
    order.level > 0 ? hull(level, exactly(Math.max(order.level, curve.bottom))) : level;
  const bounded = boundedByGear(world, possible);
  const why = order.level > 0 && order.level < curve.bottom ? belowBottom : bounded.why;
  const target = {
    level: bounded.level,
    mix: order.intensities?.map(exactly) ?? mixNow(world, moment),
  };
  const manner = {
    over: order.over,
    shape: curve.kind === 'linear' ? ('linear' as const) : ('geometric' as const),
    latency: allowances.latency.console,
    dilation: allowances.fadeTolerance,
    floor: null,
    why,
    onBus: false,
  };
  return noteOtherLink(moveLight(world, target, manner, moment), { level: target.level, why });
}
