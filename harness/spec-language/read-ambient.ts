import type { AmbientRequest } from '../plan/plan.ts';
import type { ValueReader } from '../plan/value-reader.ts';
import type { AmbientShape } from './spec-schema.ts';

/** The air about the lamp at one point of the matrix. */
export function readAmbient(
  { temperature, soak, within }: AmbientShape,
  reader: ValueReader,
): AmbientRequest {
  const time = { least: 0, most: 86_400 };
  return {
    celsius: reader
      .at('temperature')
      .figure(temperature, 'temperature', { least: -100, most: 200 }),
    ...(soak !== undefined && { soak: reader.at('soak').figure(soak, 'time', time) }),
    ...(within !== undefined && {
      within: reader.at('within').figure(within, 'colour-temperature', { above: 0, most: 50 }),
    }),
  };
}
