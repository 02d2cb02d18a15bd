import * as z from 'zod';
import { defineDriver } from '../driver.ts';
import { pageSteps } from './page-steps.ts';
import { WebpageLampLink } from './webpage-link.ts';

/** A lamp that is set by its own web page. */
export const webpageDriver = defineDriver({
  name: 'webpage',
  settings: z.strictObject({
    url: z
      .url('expected the address of the page, as in http://192.0.2.9/')
      .meta({ description: 'Address of the page.', examples: ['http://192.0.2.9/'] }),
    browser: z.string().meta({ description: 'Path of the browser.' }).default('/usr/bin/chromium'),
    'identity-element': z.string().optional().meta({
      description:
        'Selector of the element whose text is maker, model, serial, firmware with commas between; the title of the page is the model where nothing is said.',
    }),
    set: pageSteps('Sets {level} and {intensity CHANNEL}, per cent.'),
    fade: pageSteps('Fades over {milliseconds} or {seconds}.').optional(),
    off: pageSteps('Light off; it counts as confirmed where it ends with a wait.'),
    reset: pageSteps('Restarts the lamp.').optional(),
  }),
  open: ({ name, settings: { 'identity-element': identity, ...page } }) =>
    new WebpageLampLink({ name, identity, ...page }),
});
