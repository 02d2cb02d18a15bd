import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import type { Signal } from '../../measure/signals.ts';
import type { CaptureRequest, Condition } from '../plan.ts';
import { markWindow, type Schedule, schedule } from '../schedule.ts';
import { captureFile, captureIds } from './capture-id.ts';
import { fittingRate } from './fitting-rate.ts';
import { type Pass, passesOf } from './passes.ts';
import type { Planned, PlannedCapture } from './planned-capture.ts';
import { wireFor } from './wire-for.ts';

/** How a rig serves the captures of one condition. */
export interface CapturePlan {
  /** The stimulus that they are taken in. */
  readonly schedule: Schedule;
  /** Times through the stimulus, at least one. */
  readonly passes: readonly Pass[];
  /** Every capture, in the order of the passes. */
  readonly captures: readonly PlannedCapture[];
  /** Asked for, but no input of the rig serves it: the condition cannot be run as long as there is one. */
  readonly unserved: readonly Unserved[];
}

interface Unserved {
  readonly signal: Signal;
  /** Channel, or the signal's own name. */
  readonly of: string;
}

/** Lamp and rig that a condition is run on, and its place in the run (counted from 1; 0 where it is only checked). */
export interface PlanSetting {
  readonly lamp: Lamp;
  readonly rig: Rig;
  readonly position?: number;
}

/**
 * Decides how the rig serves a condition's captures, best first: every input at once; several passes where channels share
 * an input, or where records overlap on a digitiser that takes one at a time (multiplexed); one channel lit at a time
 * where a single sensor has to see them apart (solo). Pure: the same spec, lamp and rig give the same ids and passes.
 */
export function planCaptures(
  { captures: requests, stimulus }: Pick<Condition, 'captures' | 'stimulus'>,
  setting: PlanSetting,
): CapturePlan {
  const timeline = schedule(stimulus, setting.lamp);
  const { served, unserved } = serve(requests, timeline, setting);
  const passes = passesOf(served, setting.rig);
  const captures = passes.flatMap((pass) => pass.captures);
  return { schedule: timeline, passes, captures, unserved };
}

/** Each request for each of its subjects on its wire; which pass takes it is decided later. */
function serve(
  requests: readonly CaptureRequest[],
  timeline: Schedule,
  { lamp, rig, position = 0 }: PlanSetting,
): { readonly served: readonly PlannedCapture[]; readonly unserved: readonly Unserved[] } {
  const served: PlannedCapture[] = [];
  const unserved: Unserved[] = [];
  const nextId = captureIds();
  for (const request of requests) {
    const { signal, during } = request;
    const window = markWindow(timeline, during) ?? { from: 0, to: timeline.duration };
    for (const of of subjectsAskedFor(request, lamp)) {
      const id = nextId(signal, of, during);
      const own = wireFor(signal, of, rig, lamp);
      const wire = own ?? wireFor(signal, signal, rig, lamp);
      if (!wire) {
        unserved.push({ signal, of });
        continue;
      }
      const taken = own ? 'at-once' : 'solo';
      const common = { id, of, during: during ?? null, window, wire, taken, pass: 0 } as const;
      const plannedCapture = planned(request, common, captureFile(position, id));
      served.push(fitted(plannedCapture, { lamp, rig }));
    }
  }
  return { served, unserved };
}

/** At a rate that suits the lamp's modulation. */
function fitted(
  capture: PlannedCapture,
  { lamp, rig }: Omit<PlanSetting, 'position'>,
): PlannedCapture {
  if (capture.kind !== 'waveform') return capture;
  const { rate, signal, wire, window } = capture;
  const limits = rig.instruments.find(({ name }) => name === wire.instrument)?.limits;
  return { ...capture, rate: fittingRate(rate, signal, lamp, limits, window.to - window.from) };
}

/** `each-channel` becomes every channel; `light` and its like become the signal's own name. */
function subjectsAskedFor({ signal, of }: CaptureRequest, lamp: Lamp): readonly string[] {
  if (of === 'each-channel') return lamp.channels.map(({ channel }) => channel);
  if (lamp.channels.some(({ channel }) => channel === of)) return [of];
  return [signal];
}

function planned(request: CaptureRequest, common: Planned, file: string): PlannedCapture {
  switch (request.signal) {
    case 'colour': {
      const { signal, integration, every = integration } = request;
      return { ...common, kind: 'colour', signal, integration, every };
    }
    case 'frame': {
      const { signal, exposure, frameRate } = request;
      return { ...common, kind: 'frame', signal, exposure, frameRate, file };
    }
    default: {
      const { signal, rate } = request;
      return { ...common, kind: 'waveform', signal, rate, file };
    }
  }
}
