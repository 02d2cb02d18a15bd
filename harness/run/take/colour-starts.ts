import type { OpenBench } from '../../bench/ports.ts';
import type { Window } from '../../measure/observation.ts';
import type { PlannedCapture, PlannedColour } from '../../plan/captures/planned-capture.ts';
import { callOn } from '../condition/stimulus.ts';
import type { Collector, Start } from './collector.ts';
import { instrumentOf } from './instrument-of.ts';

/** A start for each reading of the colour sensor. */
export function startsOfColour(
  captures: readonly PlannedCapture[],
  bench: OpenBench,
  collector: Collector,
): Start[] {
  return captures
    .filter((capture) => capture.kind === 'colour')
    .flatMap((capture) =>
      instants(capture).map((at) => ({
        at,
        async begin(context) {
          const { id, of, wire, integration } = capture;
          const sensor = instrumentOf(bench, wire.instrument, 'colour-sensor');
          const reading = sensor.read({ integration }, callOn(context, sensor.name));
          collector.watch(
            reading.then((value) => {
              const whose = of === 'colour' ? 'lamp' : of;
              const own = { capture: id, of: whose, at: value.at - context.zero };
              collector.records.colour.push({ ...value, ...own });
            }),
          );
        },
      })),
    );
}

/** Readings one after another that fit wholly into the window. */
function instants({ window, every, integration }: PlannedColour): number[] {
  const { from, to }: Window = window;
  const count = Math.floor((to - from - integration) / every + 1e-9) + 1;
  return Array.from({ length: Math.max(0, count) }, (_, index) => from + index * every);
}
