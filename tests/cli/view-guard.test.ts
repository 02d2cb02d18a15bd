import { mkdirSync, renameSync, symlinkSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { manifestText, sha256 } from '../../harness/archive/manifest.ts';
import { scratchFolders } from '../archive/scratch.ts';
import { sealedRun } from '../archive/signed-run.ts';
import { form, keyFiles, openDesk } from './view-desk.ts';

const scratch = scratchFolders();
const open: { close(): Promise<void> }[] = [];
afterEach(async () => {
  for (const server of open.splice(0)) await server.close();
});

async function desk(over: Parameters<typeof openDesk>[1] = {}) {
  const root = scratch();
  const folder = await sealedRun(root);
  const opened = await openDesk(root, over);
  open.push(opened.server);
  return { ...opened, root, folder, name: basename(folder) };
}

describe('the door', () => {
  it('turns the token of the address into a strict cookie that no script can read, and drops it from the address', async () => {
    const { opened, cookie, ask } = await desk();
    expect(opened.status).toBe(303);
    expect(opened.headers.location).toBe('/');
    expect(opened.headers['set-cookie']![0]).toMatch(/; HttpOnly; SameSite=Strict$/);
    expect(cookie).toMatch(/^evenfall-view-\d+=[\w-]{43}$/);
    const { status, text } = await ask('/');
    expect(status).toBe(200);
    expect(text).toContain('Alcove-6, build 1.4.2');
  });

  it.each([
    ['no token and no cookie', '/', {}],
    ['another token', '/?token=AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA', {}],
    ['an empty token', '/?token=', {}],
    [
      'a made-up cookie',
      '/',
      { cookie: 'evenfall-view-PORT=AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA' },
    ],
    ['the token as a cookie', '/', { cookie: 'evenfall-view-PORT=TOKEN' }],
    ['no cookie on a page further in', '/runs/latest/page', {}],
  ])('refuses %s with 403, a sentence, and nothing of the archive', async (_, path, headers) => {
    const { raw, address } = await desk();
    const token = address.searchParams.get('token')!;
    const filled = Object.entries(headers).map(([name, value]) => [
      name,
      value.replace('PORT', address.port).replace('TOKEN', token),
    ]);
    const { status, text } = await raw(path, { headers: Object.fromEntries(filled) });
    expect(status).toBe(403);
    expect(text).toContain('it contains a token');
    expect(text).not.toContain('Alcove');
  });

  it('does not answer to a foreign name, even with the cookie: a name can be made to point here', async () => {
    const { ask, address } = await desk();
    for (const host of [
      'lamps.invalid',
      `lamps.invalid:${address.port}`,
      '127.0.0.1:1',
      '10.0.0.7:80',
    ]) {
      const { status, text } = await ask('/', { headers: { host } });
      expect(status, host).toBe(403);
      expect(text).not.toContain('Alcove');
    }
    expect((await ask('/', { headers: { host: `localhost:${address.port}` } })).status).toBe(200);
  });

  it('gives every answer its strict headers, refusals and files too', async () => {
    const { ask, raw, name } = await desk();
    for (const answer of [
      await ask('/'),
      await raw('/'),
      await ask(`/runs/${name}/page`),
      await ask(`/runs/${name}/files/run.json`),
    ]) {
      const { headers } = answer;
      expect(headers['content-security-policy']).toMatch(
        /^default-src 'none'; base-uri 'none'; frame-ancestors 'none'/,
      );
      expect(headers['x-content-type-options']).toBe('nosniff');
      expect(headers['x-frame-options']).toBe('DENY');
      expect(headers['referrer-policy']).toBe('same-origin');
      expect(headers['cross-origin-resource-policy']).toBe('same-origin');
      expect(headers['cache-control']).toBe('no-store');
    }
  });

  it('gives the stored page no origin of ours: whatever was put in there has no cookie and no network', async () => {
    const { ask, name } = await desk();
    const { headers, text } = await ask(`/runs/${name}/page`);
    expect(text).toBe('<!doctype html>\n');
    const policy = headers['content-security-policy'] as string;
    expect(policy).toContain('sandbox allow-scripts');
    expect(policy).not.toContain('allow-same-origin');
    expect(policy).not.toContain('connect-src');
    expect(policy).toContain("form-action 'none'");
  });
});

describe('names', () => {
  const outside = [
    '../secret',
    '..%2fsecret',
    '%2e%2e%2fsecret',
    '..%5csecret',
    'captures/../../secret',
    'captures%2f..%2f..%2fsecret',
    '/etc/passwd',
    '%2fetc%2fpasswd',
    'run.json%00.txt',
    'signoffs%2f..%2frun.json',
    '.%2frun.json',
    'captures//0000-light.npy',
    '.',
    '',
  ];
  it.each(outside)('a file called %j is not handed out', async (file) => {
    const { ask, root, name } = await desk();
    writeFileSync(join(root, 'secret'), 'not for anybody');
    const { status, text } = await ask(`/runs/${name}/files/${file}`);
    expect([400, 403, 404]).toContain(status);
    expect(text).not.toContain('not for anybody');
    expect(text).not.toContain('root:');
    expect(text).not.toContain('evenfall-run');
  });

  it.each([
    '..%2f',
    '..%5c',
    '%252e%252e',
    '%2fetc',
    '..%2f..%2fetc',
    'latest',
    'nothing',
    '%00',
    '__proto__',
    '<script>alert(1)</script>',
  ])('a run called %j is not there', async (run) => {
    const { ask, folder, root } = await desk();
    // Another run, outside of the archive.
    const away = join(root, 'away');
    mkdirSync(away);
    renameSync(folder, join(away, basename(folder)));
    for (const part of ['', '/page', '/files/run.json', '/sign', '/progress']) {
      const { status, text } = await ask(`/runs/${run}${part}`);
      expect(status, `${run}${part}`).toBe(404);
      expect(text).not.toContain('<script>alert');
    }
  });

  it('hands out the files of the manifest and no others: no sign-off, no index, no link to elsewhere', async () => {
    const { ask, folder, root, name } = await desk();
    expect((await ask(`/runs/${name}/files/run.json`)).text).toContain('"evenfall-run"');
    const capture = await ask(`/runs/${name}/files/captures/0000-light.npy`);
    expect(capture.headers['content-type']).toBe('application/octet-stream');
    expect(capture.headers['content-disposition']).toBe('attachment; filename="0000-light.npy"');
    writeFileSync(join(folder, 'note.txt'), 'added later');
    writeFileSync(join(root, 'secret'), 'not for anybody');
    expect((await ask(`/runs/${name}/files/note.txt`)).status).toBe(404);
    // A manifest that somebody made up does not open doors either.
    symlinkSync(join(root, 'secret'), join(folder, 'link.txt'));
    const entry = { file: 'link.txt', bytes: 15, sha256: sha256('not for anybody') };
    const outside = { ...entry, file: '../secret' };
    for (const [files, answer] of [
      [[entry], 404],
      [[entry, outside], 409],
    ] as const) {
      writeFileSync(join(folder, 'manifest.json'), manifestText({ run: 'x', files: [...files] }));
      for (const file of ['link.txt', '../secret', '..%2fsecret']) {
        const { status, text } = await ask(`/runs/${name}/files/${file}`);
        expect([404, answer], file).toContain(status);
        expect(text).not.toContain('not for anybody');
      }
    }
  });

  it('does not show a file that was altered after the seal, and the sheet of the run names it', async () => {
    const { ask, folder, name } = await desk();
    writeFileSync(join(folder, 'index.html'), '<script>fetch("/")</script>');
    const { status, text } = await ask(`/runs/${name}/page`);
    expect(status).toBe(409);
    expect(text).toContain('index.html is not what was sealed');
    expect(text).not.toContain('fetch(');
    const sheet = await ask(`/runs/${name}`);
    expect(sheet.text).toContain('▲ altered');
    expect(sheet.text).toMatch(/<code>index\.html<\/code> was altered/);
  });

  it('names what was altered even where the record itself can no longer be read', async () => {
    const { ask, folder, name } = await desk();
    writeFileSync(join(folder, 'run.json'), '{');
    const { status, text } = await ask(`/runs/${name}`);
    expect(status).toBe(409);
    expect(text).toMatch(/<code>run\.json<\/code> was altered/);
  });
});

describe('forms from elsewhere', () => {
  const fields = [['name', 'Mira']] as const;
  it.each([
    ['another site', 'https://lamps.invalid'],
    ['another port of this computer, which the cookie does not tell apart', 'http://127.0.0.1:1'],
    ['a page without an origin', 'null'],
  ])('are refused: %s', async (_, origin) => {
    const root = scratch();
    const { ask, name, address } = await desk({ keyFile: (await keyFiles(root, 'Mira')).file });
    const sent = form(address, fields);
    const headers = { ...sent.headers, origin, 'sec-fetch-site': 'same-site' };
    const { status, text } = await ask(`/runs/${name}/sign`, { ...sent, headers });
    expect(status).toBe(403);
    expect(text).not.toContain('Alcove');
  });

  it('are refused when they are far longer than any of ours', async () => {
    const { ask, name, address } = await desk();
    const sent = form(address, [['name', 'x'.repeat(600_000)]]);
    expect((await ask(`/runs/${name}/sign`, sent)).status).toBe(413);
  });
});
