import type { OpenBench } from '../../bench/ports.ts';
import type { PlannedCapture } from '../../plan/captures/planned-capture.ts';
import { callOn } from '../condition/stimulus.ts';
import type { Collector, Start } from './collector.ts';
import { instrumentOf } from './instrument-of.ts';

/** A start for each frame: one at the beginning of its window. */
export function startsOfFrames(
  captures: readonly PlannedCapture[],
  bench: OpenBench,
  collector: Collector,
): Start[] {
  return captures
    .filter((capture) => capture.kind === 'frame')
    .map((capture) => ({
      at: capture.window.from,
      afterCommands: true,
      async begin(context) {
        const { id, wire, exposure, frameRate } = capture;
        const camera = instrumentOf(bench, wire.instrument, 'camera');
        const shot = camera.shoot({ exposure, frameRate }, callOn(context, camera.name));
        collector.watch(
          shot.then((frame) => {
            // Judged as it is stored, in single precision, so that a later judgement sees the same figures.
            const rows = Float64Array.from(Float32Array.from(frame.rows));
            const own = { capture: id, rows, at: frame.at - context.zero };
            collector.records.frames.push({ capture, frame: { ...frame, ...own } });
          }),
        );
      },
    }));
}
