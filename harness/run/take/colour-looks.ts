import { BenchError } from '../../bench/errors.ts';
import type { ColourSensor } from '../../bench/ports.ts';
import type { SensorReading } from '../../measure/observation.ts';
import type { PlannedCapture, PlannedColour } from '../../plan/captures/planned-capture.ts';
import { callOn, type StimulusContext } from '../condition/stimulus.ts';
import { figure } from '../figure.ts';
import { lampPower } from '../power/lamp-power.ts';

/** What each colour sensor of a pass read of the lamp without power, by its name. */
export type ColourLooks = ReadonlyMap<string, SensorReading>;

/**
 * Has each colour sensor of a pass read a lamp without power, before every condition: what it reads of the lit lamp later
 * must be something else. Nothing where time is virtual.
 */
export async function lookAtDarkColour(
  captures: readonly PlannedCapture[],
  context: Pick<StimulusContext, 'bench' | 'rig' | 'signal'>,
): Promise<ColourLooks> {
  const { taken, clock, instruments } = context.bench;
  const looks = new Map<string, SensorReading>();
  if (!taken || clock.kind === 'virtual') return looks;
  for (const capture of captures) {
    if (capture.kind !== 'colour') continue;
    const sensor = instruments.get(capture.wire.instrument);
    if (sensor?.kind !== 'colour-sensor' || looks.has(sensor.name)) continue;
    looks.set(sensor.name, await readUntilDark(sensor, capture, context));
  }
  return looks;
}

/** What glows out falls by this part from look to look, this far apart, s; it is given so many looks. */
const fading = 0.05;
const apart = 0.7;
const most = 20;
/** A zero is blamed beyond so many standard uncertainties. */
const certainty = 6;

/** Throws BenchError `garbled` where the sensor sees other light than the lamp's. */
async function readUntilDark(
  sensor: ColourSensor,
  { integration, wire }: PlannedColour,
  context: Pick<StimulusContext, 'bench' | 'rig' | 'signal'>,
): Promise<SensorReading> {
  const { clock } = context.bench;
  const zero = certainty * Math.hypot(wire.standardOffset, wire.noise / Math.sqrt(integration));
  // A lamp that keeps its power may leak light.
  const dark = lampPower(context.bench, context.rig) !== null;
  let before = Number.POSITIVE_INFINITY;
  for (let look = 1; ; look++) {
    const reading = await sensor.read({ integration }, callOn(context, sensor.name));
    const { X, Y, Z, state } = reading;
    const seen = Math.max(Math.abs(X), Math.abs(Y), Math.abs(Z));
    if (!dark || state !== 'good' || seen <= zero) return reading;
    if (look === most || seen > (1 - fading) * before)
      throw new BenchError(
        'garbled',
        sensor.name,
        `it reads ${figure(X)}, ${figure(Y)}, ${figure(Z)} ${wire.unit} of a lamp without power; expected 0 within ${figure(zero)} ${wire.unit}, as its wire states its zero and noise. Other light reaches its head, or its zero has moved: close the box, and set its zero anew`,
      );
    before = seen;
    await clock.waitUntil(clock.now() + apart, context.signal);
  }
}
