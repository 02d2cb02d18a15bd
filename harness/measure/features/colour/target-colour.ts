import { type Xy, xyzToXy } from '../../colorimetry/chromaticity.ts';
import type { Parameter } from '../../metric.ts';
import type { Observation } from '../../observation.ts';
import { type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { commandedMeanColour } from './commanded-colour.ts';

/** Target chromaticity as parameters of a metric. */
export const targetParameters: readonly Parameter[] = [
  {
    name: 'x',
    kind: 'number',
    default: 0,
    about: 'target x (CIE 1931); 0 means the colour that the commanded mix has by the lamp file',
  },
  { name: 'y', kind: 'number', default: 0, about: 'target y (CIE 1931), as x' },
];

/** The target that the parameters state, or the colour of the commanded mix. */
export function targetColour(observation: Observation): Xy | NotMeasurable {
  const x = Number(observation.parameters['x'] ?? 0);
  const y = Number(observation.parameters['y'] ?? 0);
  if (x > 0 && y > 0) return { x, y };
  const commanded = commandedMeanColour(observation, observation.window);
  if (!(commanded.Y > 0)) {
    return notMeasurable('out-of-domain', {
      note: 'no light is commanded: there is no target colour',
    });
  }
  return xyzToXy(commanded);
}
