import { randomBytes } from 'node:crypto';
import { appendFileSync, existsSync, readdirSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { LabClient } from '../../harness/lab/client/lab-client.ts';
import { uploadFor } from '../../harness/lab/client/upload.ts';
import { colourSpec } from '../cli/small-specs.ts';
import { digestOf, registration, requestOf, rigAt, sendFile, submitted } from './lab-files.ts';
import { OpenLab } from './open-lab.ts';

let lab: OpenLab;
let dora = '';
beforeAll(async () => {
  lab = await OpenLab.open();
  dora = await lab.token('dora', 'submit');
});
afterAll(() => lab.close());

/** Files that the store has, whole or in part. */
function stored(): string[] {
  const folder = join(lab.folder, 'files');
  if (!existsSync(folder)) return [];
  return readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter(
    (name) => name.split('/').at(-1)?.length !== undefined && /[0-9a-f]{64}/.test(name),
  );
}

describe('a file that is sent', () => {
  it('is kept under the digest that it has, once', async () => {
    const content = randomBytes(1000);
    expect((await sendFile(lab, dora, content)).status).toBe(200);
    expect((await sendFile(lab, dora, content)).status).toBe(200);
    const found = await lab.lab.files.read(digestOf(content));
    expect(found.equals(content)).toBe(true);
    expect(stored().filter((name) => name.includes(digestOf(content)))).toHaveLength(1);
  });

  it('is refused under another digest, and nothing of it stays', async () => {
    const claimed = digestOf('something else');
    const { status, said } = await sendFile(lab, dora, 'this', claimed);
    expect(status).toBe(422);
    expect(said['refused']).toContain(`expected bytes whose digest is ${claimed}`);
    expect(stored().filter((name) => name.includes(claimed))).toEqual([]);
  });

  it('goes on where it was cut off, and from nowhere else', async () => {
    const content = randomBytes(5000);
    const digest = digestOf(content);
    const piece = (from: number, to: number) =>
      lab.ask(dora, 'PUT', `/api/files/${digest}?from=${from}&of=5000`, content.subarray(from, to));
    expect((await piece(0, 2000)).status).toBe(200);
    expect((await lab.ask(dora, 'GET', `/api/files/${digest}/received`)).said).toEqual({
      bytes: 2000,
    });
    expect((await piece(3000, 5000)).status).toBe(409);
    expect((await piece(0, 2000)).status).toBe(409);
    expect(await lab.lab.files.missing([digest])).toEqual([digest]);
    expect((await piece(2000, 5000)).status).toBe(200);
    expect((await lab.lab.files.read(digest)).equals(content)).toBe(true);
  });

  it('does not mix with what another sends of it', async () => {
    const content = randomBytes(4000);
    const digest = digestOf(content);
    const other = await lab.token('emil', 'submit');
    const at = `/api/files/${digest}`;
    await lab.ask(other, 'PUT', `${at}?from=0&of=4000`, randomBytes(2000));
    await lab.ask(dora, 'PUT', `${at}?from=0&of=4000`, content.subarray(0, 1000));
    expect(
      (await lab.ask(dora, 'PUT', `${at}?from=1000&of=4000`, content.subarray(1000))).status,
    ).toBe(200);
    expect((await lab.lab.files.read(digest)).equals(content)).toBe(true);
  });

  it.each([
    ['longer than it says', '?from=0&of=10', 422],
    ['larger than any', `?from=0&of=${2 ** 40}`, 413],
    ['of no size', '?from=0', 422],
    ['of a negative size', '?from=0&of=-1', 422],
    ['from no number', '?from=x&of=10', 422],
  ])('is refused where it is %s', async (_what, query, status) => {
    const content = randomBytes(50);
    const digest = digestOf(content);
    const answer = await lab.ask(dora, 'PUT', `/api/files/${digest}${query}`, content);
    expect(answer.status).toBe(status);
    expect(stored().filter((name) => name.includes(digest))).toEqual([]);
  });

  it.each(['../../../etc/passwd', '..%2f..%2fetc%2fpasswd', 'A'.repeat(64), '0'.repeat(63), ''])(
    'goes to no other place: %j',
    async (name) => {
      const answer = await lab.ask(dora, 'PUT', `/api/files/${name}?from=0&of=1`, Buffer.from('x'));
      expect([403, 404, 422]).toContain(answer.status);
    },
  );

  it('comes in pieces that are not too large', async () => {
    const content = Buffer.alloc(17 * 2 ** 20);
    expect((await sendFile(lab, dora, content)).status).toBe(413);
  });
});

describe('a submission', () => {
  it.each([
    '../outside.yaml',
    '/etc/passwd',
    'specs/../../outside.yaml',
    'specs\\outside.yaml',
    'specs//a.yaml',
    './a.yaml',
    'a\0b.yaml',
    '',
  ])('names no file outside its folder: %j', async (file) => {
    const request = requestOf({ lamp: { file, digest: requestOf().lamp.digest } });
    const { status, said } = await lab.ask(dora, 'POST', '/api/submissions', request);
    expect(status).toBe(422);
    expect(said['refused']).toContain('lamp');
  });

  it('of files that are not here is refused', async () => {
    const request = requestOf({ lamp: { file: 'lamp.yaml', digest: 'f'.repeat(64) } });
    const { status, said } = await lab.ask(dora, 'POST', '/api/submissions', request);
    expect(status).toBe(409);
    expect(said['refused']).toContain('missing');
  });

  it('without a rig that could judge it is refused, with what would help', async () => {
    await expect(submitted(lab, dora)).rejects.toThrow(/no simulated rig .* evenfall rig serve/);
  });

  it('that no rig can prove is refused, claim by claim', async () => {
    const token = await lab.token('blind', 'run');
    const lines = registration.text.split('\n').filter((line) => !line.includes('signal: colour'));
    const blind = { ...registration, text: lines.join('\n') };
    expect((await lab.ask(token, 'PUT', '/api/rigs/blind', blind)).status).toBe(200);
    await sendFile(lab, dora, colourSpec);
    const specs = [{ file: 'specs/colour.spec.yaml', digest: digestOf(colourSpec) }];
    await expect(submitted(lab, dora, { specs })).rejects.toThrow(
      /no rig of this lab can prove colour-keeps \(blind: .*colour/,
    );
    await rigAt(lab, 'left');
    await submitted(lab, dora, { specs });
  });

  it('with a mistake in a spec gets its line and column back', async () => {
    const spec = 'spec: wrong\nclaim: c\nstimulus: [ { hold: 1 parsec } ]\n';
    await sendFile(lab, dora, spec);
    const specs = [{ file: 'specs/wrong.spec.yaml', digest: digestOf(spec) }];
    await expect(submitted(lab, dora, { specs })).rejects.toThrow(/specs\/wrong.spec.yaml:3:/);
  });
});

describe('somebody who sends files', () => {
  /** A client of the lab, and what it has to send. */
  async function client() {
    const content = randomBytes(300);
    const { signal } = new AbortController();
    const asking = new LabClient(await lab.listen(), dora, signal);
    return { asking, content, digest: digestOf(content) };
  }

  it('sends them again that went before they were used', async () => {
    const { asking, content, digest } = await client();
    let tries = 0;
    const used = await uploadFor(asking, [{ digest, content }], async () => {
      // It goes between the answer that it is there and its use.
      if (tries++ < 2) await lab.lab.files.stored.remove(digest, Date.now() + 1000);
      await lab.lab.files.mustHave([digest], 'files');
      return 'used';
    });
    expect([used, tries]).toEqual(['used', 3]);
  });

  it('gives up where a lab loses them each time', async () => {
    const { asking, content, digest } = await client();
    const lost = uploadFor(asking, [{ digest, content }], async () => {
      await lab.lab.files.stored.remove(digest, Date.now() + 1000);
      await lab.lab.files.mustHave([digest], 'files');
    });
    await expect(lost).rejects.toThrow('expected all files to be here, found 1 missing');
  });

  it('ends a file that was whole when the lab was killed', async () => {
    const { asking, content, digest } = await client();
    const at = `/api/files/${digest}?from=0&of=300`;
    await lab.ask(dora, 'PUT', at, content.subarray(0, 200));
    const partial = stored().find((name) => name.includes(digest)) ?? '';
    appendFileSync(join(lab.folder, 'files', partial), content.subarray(200));
    await uploadFor(asking, [{ digest, content }], async () => {});
    expect((await lab.lab.files.read(digest)).equals(content)).toBe(true);
  });

  it('asks again where an answer breaks off', async () => {
    let asked = 0;
    const server = createServer((_request, response) => {
      response.writeHead(200, { 'Content-Type': 'application/json', 'Content-Length': 15 });
      if (++asked > 2) response.end('{"name":"dora"}');
      else response.write('{"name"', () => response.destroy());
    });
    await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
    const { port } = server.address() as AddressInfo;
    const { signal } = new AbortController();
    try {
      const me = await new LabClient(`http://127.0.0.1:${port}`, 'a token', signal).me();
      expect([me.name, asked]).toEqual(['dora', 3]);
    } finally {
      server.close();
    }
  });
});
