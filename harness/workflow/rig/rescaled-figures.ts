import type { Wire } from '../../bench/rig.ts';
import type { CalibrationChange } from './change-calibration.ts';
import { figureText } from './figure-text.ts';

/**
 * The figures of a wire that are in its unit, when its scale becomes `factor` times what it was: the volts behind them have not
 * changed, so that figures left as they are would be wrong.
 */
export function rescaledFigures(wire: Wire, factor: number): CalibrationChange {
  const { unit, standardOffset, noise, fullScale, dark } = wire;
  const inUnit = (value: number): string => `${figureText(value * factor)} ${unit}`;
  return {
    'standard-offset': inUnit(standardOffset),
    noise: inUnit(noise),
    'full-scale': inUnit(fullScale),
    ...(dark && {
      dark: {
        date: dark.date,
        length: `${figureText(dark.length)} s`,
        rate: `${figureText(dark.rate)} S/s`,
        noise: inUnit(dark.noise),
        ...(dark.corner > 0 && { corner: `${figureText(dark.corner)} Hz` }),
        ...(dark.drift !== 0 && { drift: inUnit(dark.drift) }),
        ...(dark.lines.length > 0 && {
          lines: dark.lines.map(({ frequency, amplitude }) => ({
            frequency: `${figureText(frequency)} Hz`,
            amplitude: inUnit(amplitude),
          })),
        }),
      },
    }),
  };
}
