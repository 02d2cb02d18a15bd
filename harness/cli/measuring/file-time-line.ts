import type { Lamp } from '../../bench/lamp.ts';
import type { Commanded, CommandedChannel, Window } from '../../measure/observation.ts';
import type { Condition } from '../../plan/plan.ts';
import { plannedLight } from '../../plan/planned-light.ts';
import { schedule } from '../../plan/schedule.ts';
import type { MeasuredColumn } from './measure-columns.ts';
import { commandedOf } from './measure-commanded.ts';
import type { Scene } from './measure-metric.ts';
import type { StatedStimulus } from './stated-stimulus.ts';

/** A file on the time line of a condition: its records moved there, and what was commanded meanwhile. */
export interface TimeLine {
  readonly subjects: readonly MeasuredColumn[];
  readonly commanded: Commanded;
  /** What the file covers of it, s. */
  readonly covered: Window;
  /** Nobody said what was commanded. */
  readonly isUnsaid: boolean;
  /** Whether a metric has read the commanded light since `forgetReads`, though nobody said what it was. */
  readUnsaid(): boolean;
  forgetReads(): void;
  /** As if the lamp had been told to stay at a level all the time. */
  steadyAt(level: number): Commanded;
}

interface Recorded {
  readonly scene: Scene;
  readonly lamp: Lamp;
  readonly stated: StatedStimulus;
}

/** The instant 0 is that of `--begin`, or else the first of the file. */
export function timeLine(condition: Condition, recorded: Recorded): TimeLine {
  const { scene, lamp, stated } = recorded;
  const offset = stated.kind === 'spec' ? scene.start - stated.begin : 0;
  const subjects = scene.subjects.map((subject) => ({
    ...subject,
    waveform: { ...subject.waveform, start: offset },
  }));
  const covered = { from: offset, to: offset + scene.length };
  const isUnsaid = stated.kind === 'parts' && stated.command.kind === 'nothing';
  const watched = isUnsaid ? watchedChannels() : null;
  const commanded = commandedIn(condition, recorded);
  return {
    subjects,
    covered,
    isUnsaid,
    commanded: watched ? { ...commanded, channels: watched.channels } : commanded,
    readUnsaid: () => watched?.wasRead() ?? false,
    forgetReads: () => watched?.forget(),
    steadyAt: (level) => ({ ...commanded, channels: steadyChannels(lamp, level, covered.to) }),
  };
}

function commandedIn({ stimulus }: Condition, { scene, lamp, stated }: Recorded): Commanded {
  if (stated.kind === 'spec') {
    const planned = schedule(stimulus, lamp);
    return { ...plannedLight(planned, lamp).finish(planned.duration), marks: planned.marks };
  }
  const { command, marks } = stated;
  const { length, start } = scene;
  const commanded = commandedOf({
    command,
    subjects: scene.subjects.map(({ of }) => of),
    duration: length,
    start,
    window: { from: 0, to: length },
    curve: lamp.curve,
  });
  return { ...commanded, marks: marks.map(({ name, at }) => ({ name, at: at - start })) };
}

function steadyChannels({ channels }: Lamp, level: number, to: number): CommandedChannel[] {
  const segments = [{ from: 0, to, startLevel: level, endLevel: level }];
  return channels.map(({ channel, lumen, xy, maxCurrent }) => ({
    ...{ channel, lumen, xy, maxCurrent, segments },
  }));
}

/** No channels, and a note of who looked at them: a figure that rests on a command that nobody stated would be a guess. */
function watchedChannels(): {
  readonly channels: readonly CommandedChannel[];
  wasRead(): boolean;
  forget(): void;
} {
  let read = false;
  const none: CommandedChannel[] = [];
  const channels = new Proxy(none, {
    get(target, property) {
      // Their number says whether anything was stated: who asks that alone does without.
      if (property !== 'length') read = true;
      return Reflect.get(target, property);
    },
  });
  return { channels, wasRead: () => read, forget: () => void (read = false) };
}
