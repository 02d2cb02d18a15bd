import type { Context } from 'hono';
import { secureHeaders } from 'hono/secure-headers';
import { sourceHash } from '../../report/html/document.ts';
import { renderSheet, type Sheet, sheetStyles } from '../../report/pages/archive/sheet.ts';

/** Headers of every answer; what a page may do besides is in the policy that `sendSheet` gives it. */
export const strictHeaders = secureHeaders({
  xFrameOptions: 'DENY',
  // Nothing but this origin is told where somebody came from; forms need to say it to be taken.
  referrerPolicy: 'same-origin',
  crossOriginResourcePolicy: 'same-origin',
  crossOriginOpenerPolicy: 'same-origin',
  // The pages come over plain HTTP from this computer.
  strictTransportSecurity: false,
  // The stored page of a run has no origin, and so cannot keep to this one.
  originAgentCluster: false,
  permissionsPolicy: { camera: [], microphone: [], geolocation: [], usb: [], serial: [] },
});

const nothing = "default-src 'none'; base-uri 'none'; frame-ancestors 'none'";

/** For what is only handed out, such as a stored file. */
export const filePolicy = `${nothing}; sandbox`;
/** For a page of its own making that may be read and nothing else. */
export const pagePolicy = `${nothing}; style-src ${sheetStyles}; img-src data:; form-action 'none'`;
/**
 * For the stored page of a run. It brings its own policy with the hash of its script; whatever else somebody may have
 * put there has no origin, no cookie, no network and no form.
 */
export const storedPagePolicy = `${nothing}; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data:; form-action 'none'; sandbox allow-scripts allow-modals`;

/** A page of the desk, with the policy that it needs and no more. */
export function sendSheet(
  c: Context,
  sheet: Sheet,
  status: 200 | 400 | 403 | 404 | 409 | 413 | 422 | 500 = 200,
): Response {
  const script = sheet.script ? `; script-src ${sourceHash(sheet.script)}; connect-src 'self'` : '';
  const policy = `${nothing}; style-src ${sheetStyles}; img-src data:; form-action 'self'${script}`;
  c.header('Content-Security-Policy', policy);
  c.header('Cache-Control', 'no-store');
  return c.html(renderSheet({ place: null, ...sheet, lab: c.get('lab') === true }), status);
}
