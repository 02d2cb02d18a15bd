import type { Commanded, CommandedChannel, Segment, Window } from '../../measure/observation.ts';
import { fadeEnds } from '../../plan/commanded.ts';
import { type MeasureFlags, quantityOption, usage } from './measure-options.ts';

/** What the person says was commanded while the file was recorded. */
export type StatedCommand =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'level'; readonly level: number }
  | {
      readonly kind: 'fade';
      readonly from: number;
      readonly to: number;
      readonly over: number;
      /** On the file's own time axis, s. */
      readonly at: number;
    };

export function commandOption(flags: MeasureFlags): StatedCommand {
  const { from, to, over, at, level } = flags;
  const parts = Object.entries({ from, to, over, at });
  if (parts.every(([, part]) => part === undefined)) {
    return level === undefined
      ? { kind: 'nothing' }
      : { kind: 'level', level: levelOption('level', level) };
  }
  if (level !== undefined) throw usage('give either --level or a fade (--from), not both');
  if (from === undefined || to === undefined || over === undefined || at === undefined) {
    const missing = parts.filter(([, part]) => part === undefined).map(([name]) => `--${name}`);
    throw usage(
      `missing ${missing.join(', ')}: a fade needs --from, --to, --over and --at, as in --from "100 %" --to "10 %" --over "2 s" --at "1 s"`,
    );
  }
  const fade = {
    kind: 'fade',
    from: levelOption('from', from),
    to: levelOption('to', to),
    over: quantityOption('over', over, 'time'),
    at: quantityOption('at', at, 'time'),
  } as const;
  if (!(fade.over > 0)) throw usage(`--over: expected a time above 0 s, found "${over}"`);
  if (fade.from === fade.to) throw usage('--from and --to are the same level: not a fade');
  return fade;
}

function levelOption(name: string, text: string): number {
  const level = quantityOption(name, text, 'ratio');
  if (level < 0 || level > 1)
    throw usage(`--${name}: expected a level from 0 % to 100 %, found "${text}"`);
  return level;
}

interface Course {
  readonly command: StatedCommand;
  readonly subjects: readonly string[];
  readonly duration: number;
  /** First instant of the file's time axis: 0 of the time line. */
  readonly start: number;
  readonly window: Window;
  readonly curve: Commanded['curve'];
}

/** The time line of the file as if a condition had commanded it; every subject gets the same. */
export function commandedOf({
  command,
  subjects,
  duration,
  start,
  window,
  curve,
}: Course): Commanded {
  const segments = segmentsOf(command, duration, start, window, curve.bottom);
  const channels: CommandedChannel[] =
    segments === null
      ? []
      : subjects.map((channel) => ({
          channel,
          lumen: 1,
          xy: [1 / 3, 1 / 3],
          maxCurrent: 1,
          segments,
        }));
  return { channels, marks: [], duration, curve };
}

function segmentsOf(
  command: StatedCommand,
  duration: number,
  start: number,
  window: Window,
  bottom: number,
): readonly Segment[] | null {
  if (command.kind === 'nothing') return null;
  if (command.kind === 'level') return levelSegments(command.level, duration, window);
  const { from, to, over, at } = command;
  const begin = at - start;
  const end = begin + over;
  if (begin < 0 || end > duration)
    throw usage(
      `the fade from ${at} s to ${at + over} s does not lie within the record, which runs from ${start} s to ${start + duration} s`,
    );
  const [startLevel, endLevel] = fadeEnds(from, to, bottom);
  return [
    steady(0, begin, from),
    { from: begin, to: end, startLevel, endLevel },
    steady(end, duration, to),
  ].filter((segment) => segment.to > segment.from);
}

/** The level in the window; full light elsewhere, where the reference lies. */
function levelSegments(level: number, duration: number, { from, to }: Window): readonly Segment[] {
  return [steady(0, from, 1), steady(from, to, level), steady(to, duration, 1)].filter(
    (segment) => segment.to > segment.from,
  );
}

function steady(from: number, to: number, level: number): Segment {
  return { from, to, startLevel: level, endLevel: level };
}
