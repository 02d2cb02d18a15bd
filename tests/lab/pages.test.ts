import { existsSync } from 'node:fs';
import { basename, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sealedRun } from '../archive/signed-run.ts';
import { rigAt, submitted } from './lab-files.ts';
import { OpenLab } from './open-lab.ts';

let lab: OpenLab;
let dora = '';
let submission = '';
beforeAll(async () => {
  lab = await OpenLab.open();
  dora = await lab.token('dora', 'submit');
  await rigAt(lab, 'left');
  submission = await submitted(lab, dora);
});
afterAll(() => lab.close());

async function signIn(token: string) {
  const body = new URLSearchParams({ token });
  return lab.page('/sign-in', { method: 'POST', body, headers: { origin: 'http://lab' } });
}

/** The cookie of a browser that has signed in. */
async function cookieOf(token: string): Promise<string> {
  const response = await signIn(token);
  expect(response.status).toBe(303);
  return response.headers.get('set-cookie')?.split(';')[0] ?? '';
}

describe('the pages of a lab', () => {
  it.each(['/', '/lab', '/lab/events', '/builds', '/compare', '/sign-off', '/runs/any'])(
    'send whoever has not signed in to the form: %s',
    async (path) => {
      const response = await lab.page(path);
      expect(response.status).toBe(303);
      expect(response.headers.get('location')).toBe('/sign-in');
    },
  );

  it('open to a person’s token, in a cookie that no script reads and no other site sends', async () => {
    const response = await signIn(dora);
    expect(response.headers.get('location')).toBe('/lab');
    const cookie = response.headers.get('set-cookie') ?? '';
    expect(cookie).toMatch(/HttpOnly/i);
    expect(cookie).toMatch(/SameSite=Strict/i);
    expect(cookie).not.toContain(dora);
    const page = await lab.page('/lab', { headers: { cookie: cookie.split(';')[0] ?? '' } });
    const text = await page.text();
    expect(text).toContain('left');
    expect(text).toContain('1.0');
    expect(text).toContain('href="/lab"');
  });

  it('stay shut for a rig’s token, a guessed one, and a form of another site', async () => {
    expect((await signIn(await lab.token('right', 'run'))).status).toBe(403);
    expect((await signIn('evenfall_guessed')).status).toBe(403);
    const body = new URLSearchParams({ token: dora });
    const headers = { origin: 'http://evil.example' };
    const foreign = await lab.page('/sign-in', { method: 'POST', body, headers });
    expect(foreign.status).toBe(403);
    expect(foreign.headers.get('set-cookie')).toBeNull();
  });

  it('close when somebody signs out, and when their token is taken away', async () => {
    const cookie = await cookieOf(dora);
    const headers = { cookie, origin: 'http://lab' };
    await lab.page('/sign-out', { method: 'POST', headers });
    expect((await lab.page('/lab', { headers: { cookie } })).status).toBe(303);
    const emil = await lab.token('emil', 'submit');
    const his = await cookieOf(emil);
    expect((await lab.page('/lab', { headers: { cookie: his } })).status).toBe(200);
    await lab.lab.access.revoke('emil');
    expect((await lab.page('/lab', { headers: { cookie: his } })).status).toBe(303);
  });

  it('tell the whole state at once to whoever listens, and again when it changes', async () => {
    const cookie = await cookieOf(dora);
    const response = await lab.page('/lab/events', { headers: { cookie } });
    const reader = response.body?.pipeThrough(new TextDecoderStream()).getReader();
    const next = async (): Promise<{ submissions: { id: string; state: string }[] }> => {
      let text = '';
      while (!text.includes('\n\n')) text += (await reader?.read())?.value ?? '';
      return JSON.parse(/^data: (.*)$/m.exec(text)?.[1] ?? '');
    };
    expect((await next()).submissions).toMatchObject([{ id: submission, state: 'queued' }]);
    await lab.lab.submissions.cancel(submission, 'dora');
    expect((await next()).submissions).toMatchObject([{ id: submission, state: 'cancelled' }]);
    await reader?.cancel();
  });

  it('show one submission, and say where there is none', async () => {
    const headers = { cookie: await cookieOf(dora) };
    const page = await lab.page(`/lab/submissions/${submission}`, { headers });
    expect(await page.text()).toContain('cancelled by dora');
    for (const id of ['00000000-0000-4000-8000-000000000000', 'x', "'"])
      expect((await lab.page(`/lab/submissions/${id}`, { headers })).status).toBe(404);
  });

  it('say where decisions on a run are signed, and take none', async () => {
    const headers = { cookie: await cookieOf(dora), origin: 'http://lab' };
    const folder = basename(await sealedRun(lab.lab.archive));
    const page = await (await lab.page(`/runs/${folder}/sign`, { headers })).text();
    expect(page).toContain('evenfall lab sign RUN');
    expect(page).not.toContain('name="passphrase"');
    const body = new URLSearchParams({ name: 'Mira', decision: 'release', passphrase: 'x' });
    const post = await lab.page(`/runs/${folder}/sign`, { method: 'POST', body, headers });
    expect(await post.text()).toContain('evenfall lab sign RUN');
    expect(existsSync(join(lab.lab.archive, folder, 'signoffs'))).toBe(false);
  });
});
