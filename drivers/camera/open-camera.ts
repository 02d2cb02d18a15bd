import * as z from 'zod';
import { quantity } from '../../harness/files/schema-parts.ts';
import type { OpenInstrument } from '../driver.ts';
import { readByPreflight, readSettings } from '../settings.ts';
import { CameraProgram } from './camera-program.ts';

/** Settings of an instrument with `driver: camera`. */
export const cameraSettings = z.strictObject({
  ...readByPreflight,
  command: z
    .array(z.string(), 'expected a list: the program, then its arguments')
    .min(1, 'expected the program, then its arguments'),
  'line-time': quantity('Time between the start of two rows.', 'time', '15 µs', { above: 0 }),
  transfer: z.enum(['linear', 'srgb'], 'expected linear or srgb').default('srgb'),
  /** Mean of a frame taken in the dark, 0..1 of full scale after linearising. */
  dark: z.number().min(0).max(1).default(0),
});

export const openCamera: OpenInstrument = (instrument, { clock, folder }) => {
  const settings = readSettings(cameraSettings, instrument);
  const { command, transfer, dark } = settings;
  return new CameraProgram({
    name: instrument.name,
    command,
    folder,
    lineTime: settings['line-time'],
    picture: { transfer, dark },
    clock,
  });
};
