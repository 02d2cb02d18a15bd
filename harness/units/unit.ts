/** A physical dimension that Evenfall knows. `ratio` holds percentages; `steps` holds SDCM steps and codes. */
export type Dimension =
  | 'time'
  | 'frequency'
  | 'voltage'
  | 'current'
  | 'power'
  | 'resistance'
  | 'inductance'
  | 'capacitance'
  | 'ratio'
  | 'number'
  | 'illuminance'
  | 'luminous-flux'
  | 'temperature'
  | 'colour-temperature'
  | 'lightness'
  | 'slope';

/** Symbols of the SI unit of each dimension and of the units people write. */
export type UnitSymbol = string;

/** The unit in which each dimension is stored everywhere inside. */
export const siUnit: Readonly<Record<Dimension, UnitSymbol>> = {
  time: 's',
  frequency: 'Hz',
  voltage: 'V',
  current: 'A',
  power: 'W',
  resistance: 'Ω',
  inductance: 'H',
  capacitance: 'F',
  ratio: '1',
  number: '1',
  illuminance: 'lx',
  'luminous-flux': 'lm',
  temperature: '°C',
  'colour-temperature': 'K',
  lightness: 'L*',
  slope: '1/s',
};
