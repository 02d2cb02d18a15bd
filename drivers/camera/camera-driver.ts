import * as z from 'zod';
import { quantity } from '../../harness/files/schema-parts.ts';
import { defineDriver } from '../driver.ts';
import { commandSetting } from '../transport/run-program.ts';
import { CameraProgram } from './camera-program.ts';

/** A camera behind a program that takes one picture. */
export const cameraDriver = defineDriver({
  name: 'camera',
  settings: z.strictObject({
    command: commandSetting,
    'line-time': quantity('Time between the start of two rows.', 'time', '15 µs', { above: 0 }),
    transfer: z
      .enum(['linear', 'srgb'])
      .meta({ description: 'Transfer function of the picture.' })
      .default('srgb'),
    dark: z
      .number()
      .min(0)
      .max(1)
      .meta({
        description:
          'Mean of a frame taken in the dark, 0 to 1 of full scale, once it is linear light.',
      })
      .default(0),
  }),
  open: ({ name, settings }, { clock, folder }) => {
    const { command, 'line-time': lineTime, transfer, dark } = settings;
    return new CameraProgram({
      name,
      command,
      folder,
      lineTime,
      picture: { transfer, dark },
      clock,
    });
  },
});
