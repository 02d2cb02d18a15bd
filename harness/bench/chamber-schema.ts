import * as z from 'zod';
import { name, quantity } from '../files/schema-parts.ts';

const air = { least: -100, most: 200 };
const kelvin = (about: string, example: string) =>
  quantity(about, 'colour-temperature', example, { above: 0, most: 50 });

/** `chamber:` of a rig file: what conditions the air about the lamp, and when that is believed. */
export const chamberSchema = z
  .strictObject({
    instrument: name('Name of the instrument.'),
    probe: name('A thermometer beside the lamp, where there is one.').exactOptional(),
    lowest: quantity('Never colder than this.', 'temperature', '-10 °C', air),
    highest: quantity('Never hotter than this.', 'temperature', '60 °C', air),
    within: kelvin('The air may differ from what was asked for by this.', '2 K').prefault('2 K'),
    soak: quantity(
      'The air has been within that for so long before a condition begins.',
      'time',
      '30 min',
      {
        least: 0,
        most: 86_400,
      },
    ).prefault('30 min'),
    patience: quantity('Longest time in which the air has to come there.', 'time', '2 h', {
      above: 0,
      most: 172_800,
    }).prefault('2 h'),
    'lamp-within': kelvin(
      'A lamp that was soaked without power has the temperature of the air within this.',
      '5 K',
    ).prefault('5 K'),
  })
  .transform(({ 'lamp-within': lampWithin, ...rest }) => ({ ...rest, lampWithin }))
  .meta({ description: 'What conditions the air about the lamp.' });
