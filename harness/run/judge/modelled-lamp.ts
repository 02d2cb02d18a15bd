import type { Heard } from '../../bench/heard.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type { ModelledLamp } from '../../measure/modelled-lamp.ts';
import type { Commanded } from '../../measure/observation.ts';
import { type ModelStory, tellStory } from '../../model/model-lamp.ts';
import type { InputCalibration } from '../../verdict/uncertainty.ts';
import type { HeardPass } from '../records/heard-pass.ts';
import { heardWords } from './heard-words.ts';
import { heldAnswers } from './held-answers.ts';

/** A pass as its model tells it, on the condition's time line. */
interface ToldPass {
  readonly solo: string | null;
  readonly heard: readonly Heard[];
  readonly story: ModelStory;
  /** Where the story begins, on the condition's time line, s. */
  readonly begun: number;
  /** Until then the lamp may do what it was told before the story began, s. */
  readonly known: number;
}

/** What the lamp file and everything that was sent make of the lamp; null where nothing tells what was sent. */
export function modelledLamp(
  passes: readonly HeardPass[],
  lamp: Lamp,
  {
    commanded,
    calibration,
  }: {
    readonly commanded: Commanded;
    readonly calibration: readonly InputCalibration[];
  },
): ModelledLamp | null {
  const told = passes.map((pass) => toldPass(pass, lamp, commanded.duration));
  const [first] = told;
  if (!first) return null;
  const alone = new Map(told.map((pass) => [pass.solo, pass] as const).toReversed());
  const passOf = (channel: string): ToldPass => alone.get(channel) ?? first;
  return {
    levelAt(channel, at) {
      const { story, begun, known } = passOf(channel);
      return at < known ? { low: 0, high: 1 } : story.levelAt(channel, at - begun);
    },
    whyWide: (at) => (at < first.known ? unknownMemory : first.story.whyWide(at - first.begun)),
    leadAt(channel, at) {
      const { heard, story, begun } = passOf(channel);
      const event = heard[story.leadAt(channel, at - begun)];
      return event ? heardWords(event) : '';
    },
    answers: told.flatMap(({ heard, story }, pass) =>
      heldAnswers(story.answers, heard, passes[pass]?.answered ?? []),
    ),
    standardInstant: Math.max(...passes.map((pass) => pass.standardInstant)),
    ...modulatorOf(lamp),
    inputs: new Map(calibration.map((input) => [input.capture, input])),
  };
}

const unknownMemory = 'nobody knows what the lamp was told before the bench was opened';

function toldPass(pass: HeardPass, lamp: Lamp, end: number): ToldPass {
  const { solo, isFresh } = pass;
  // A record may have been changed by hand.
  const all = pass.heard.toSorted((one, other) => one.at - other.at);
  const heard = isFresh ? all : sincePower(all, lamp);
  const begun = Math.min(0, heard[0]?.at ?? 0);
  const events = heard.map((event) => ({ ...event, at: event.at - begun }));
  // The lamp may have been asked something when the last window was over.
  const last = events.at(-1)?.at ?? 0;
  const story = tellStory(lamp, events, Math.max(end - begun, last));
  const known = isFresh ? begun : firstLight(heard, story, lamp, begun);
  return { solo, heard, story, begun, known };
}

/**
 * All that a lamp on a bench heard. Where an earlier condition has left its gear unknown (a register was used that nobody had set), what it
 * heard since its power was last taken away: claims leave no settings behind.
 */
function sincePower(all: readonly Heard[], lamp: Lamp): readonly Heard[] {
  const now = all.findIndex(({ at }) => at >= 0);
  const past = now < 0 ? all : all.slice(0, now);
  const [first] = past;
  if (!first) return all;
  const events = past.map((event) => ({ ...event, at: event.at - first.at }));
  const { worlds } = tellStory(lamp, events, -first.at).end;
  if (worlds.every(({ gearLost }) => gearLost === null)) return all;
  const off = past.findLastIndex((event) => event.kind === 'supply' && event.volts === 0);
  return off < 0 ? all : all.slice(off);
}

/** Until the light of a command that came first is there, s: latency of any link (common practice). */
const latency = 0.05;

/** When the light follows a command, and no longer what the lamp kept, s. */
function firstLight(
  heard: readonly Heard[],
  story: ModelStory,
  { channels: [channel] }: Lamp,
  begun: number,
): number {
  const isCommand = ({ kind }: Heard) => kind !== 'supply' && kind !== 'reset' && kind !== 'air';
  const place = heard.findIndex(
    (event, index) =>
      isCommand(event) && story.leadAt(channel?.channel ?? '', event.at - begun) === index,
  );
  return (heard[place]?.at ?? Number.POSITIVE_INFINITY) + latency;
}

function modulatorOf({ modulation }: Lamp): Pick<ModelledLamp, 'pulse' | 'period'> {
  if (modulation.kind === 'pwm') return { pulse: 0, period: 1 / modulation.frequency };
  return { pulse: modulation.kind === 'pulse-density' ? 1 / modulation.clock : 0 };
}
