import { BenchError } from '../../bench/errors.ts';
import type { OpenBench } from '../../bench/ports.ts';
import type { SensorReading, Window } from '../../measure/observation.ts';
import type { PlannedCapture, PlannedColour } from '../../plan/captures/planned-capture.ts';
import { callOn } from '../condition/stimulus.ts';
import type { Collector, Start } from './collector.ts';
import { colourInstrument, readColour } from './read-colour.ts';

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
        afterCommands: true,
        async begin(context) {
          const { id, of, wire, integration, window } = capture;
          const sensor = colourInstrument(bench, wire.instrument);
          const called = bench.clock.now();
          const reading = readColour(sensor, { integration }, callOn(context, sensor.name));
          collector.watchUntil(
            window.to,
            reading.then(({ reading: value, spectrum }) => {
              mustLieWithin(value, { from: called, to: bench.clock.now() }, sensor.name);
              const whose = of === 'colour' ? 'lamp' : of;
              const own = { capture: id, of: whose, at: value.at - context.zero };
              const first = !collector.records.colour.some(({ capture: one }) => one === id);
              const kept = first && spectrum ? { spectrum } : {};
              collector.records.colour.push({ ...value, ...kept, ...own });
              bench.pieces?.reading({ ...value, ...own });
            }),
          );
        },
      })),
    );
}

/** What the clocks of a computer and a sensor may differ by in a reading, s. */
const negligible = 5e-3;

/** A reading that was integrated before it was asked for, or is not over yet, is another one. */
function mustLieWithin(
  { at, integration, state }: SensorReading,
  span: Window,
  sensor: string,
): void {
  // What is saturated may break off.
  if (state !== 'good') return;
  const [from, to] = [at - integration / 2, at + integration / 2];
  if (from >= span.from - negligible && to <= span.to + negligible) return;
  throw new BenchError(
    'late',
    sensor,
    `its reading was integrated from ${(from - span.from).toFixed(3)} s to ${(to - span.from).toFixed(3)} s after it was asked for, as its driver says, but the answer came after ${(span.to - span.from).toFixed(3)} s; expected an integration between the two`,
  );
}

/** Readings one after another that fit wholly into the window. */
function instants({ window, every, integration }: PlannedColour): number[] {
  const { from, to }: Window = window;
  const count = Math.floor((to - from - integration) / every + 1e-9) + 1;
  return Array.from({ length: Math.max(0, count) }, (_, index) => from + index * every);
}
