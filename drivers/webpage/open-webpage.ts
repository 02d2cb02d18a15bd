import * as z from 'zod';
import type { OpenInstrument } from '../driver.ts';
import { readByPreflight, readSettings } from '../settings.ts';
import { steps } from './page-steps.ts';
import { WebpageLampLink } from './webpage-link.ts';

/** Settings of an instrument with `driver: webpage`. */
export const webpageSettings = z.strictObject({
  ...readByPreflight,
  url: z.url('expected the address of the page, as in http://192.0.2.9/'),
  browser: z.string().default('/usr/bin/chromium'),
  identity: z.string().optional(),
  set: steps,
  fade: steps.optional(),
  off: steps,
  reset: steps.optional(),
});

export const openWebpage: OpenInstrument = (instrument) => {
  const { url, browser, identity, set, fade, off, reset } = readSettings(
    webpageSettings,
    instrument,
  );
  return new WebpageLampLink({
    name: instrument.name,
    url,
    browser,
    identity,
    set,
    fade,
    off,
    reset,
  });
};
