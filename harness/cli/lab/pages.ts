import { Hono } from 'hono';
import { HTTPException } from 'hono/http-exception';
import type { Lab } from '../../lab/lab.ts';
import { overviewOf } from '../../lab/lab-overview.ts';
import { Refusal } from '../../lab/refusal.ts';
import { labScript } from '../../report/html/assets.js';
import { labFront } from '../../report/pages/lab/lab-front.ts';
import { signOutForm } from '../../report/pages/lab/sign-in-form.ts';
import { submissionPage } from '../../report/pages/lab/submission-page.ts';
import { archivePages, errorPage, formGuards } from '../view/app.ts';
import type { Desk } from '../view/desk.ts';
import { sendSheet } from '../view/send.ts';
import { sendOverviews } from './events.ts';
import { session, showSignIn, takeSignIn, takeSignOut } from './sign-in.ts';
import type { Served } from './who.ts';

/** The pages of a lab and of its archive, for people who have signed in with their token. */
export function labPages(lab: Lab, desk: Desk): Hono<Served> {
  const { access } = lab;
  const app = new Hono<Served>();
  app.use(...formGuards());
  app.get('/sign-in', showSignIn);
  app.post('/sign-in', takeSignIn(access));
  app.post('/sign-out', takeSignOut(access));
  app.use(session(access), async (c, next) => {
    c.set('lab', true);
    await next();
  });
  app.get('/lab', async (c) => {
    const front = labFront(await overviewOf(lab));
    const body = [front, signOutForm(c.get('holder').name)];
    return sendSheet(c, { title: 'Lab', place: 'Lab', body, script: labScript });
  });
  app.get('/lab/events', sendOverviews(lab));
  app.get('/lab/submissions/:id', async (c) => {
    const { id } = await lab.submissions.find(c.req.param('id'));
    const { submissions } = await overviewOf(lab, id);
    const [own] = submissions;
    if (!own) throw new HTTPException(404, { message: 'Page not found.' });
    return sendSheet(c, {
      title: 'Submission',
      place: 'Lab',
      body: submissionPage(own),
      script: labScript,
    });
  });
  app.get('/lab/submissions/:id/junit.xml', async (c) => {
    const bytes = await lab.submissions.fileOf(c.req.param('id'), 'junit.xml');
    return c.body(new Uint8Array(bytes), 200, { 'Content-Type': 'application/xml' });
  });
  app.route('/', archivePages(desk));
  app.notFound(() => {
    throw new HTTPException(404, { message: 'Page not found.' });
  });
  const show = errorPage(desk);
  app.onError((error, c) => {
    const missing = error instanceof Refusal && error.kind === 'not-found';
    return show(missing ? new HTTPException(404, { message: error.message }) : error, c);
  });
  return app;
}
