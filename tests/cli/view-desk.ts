import { writeFileSync } from 'node:fs';
import { type IncomingHttpHeaders, request } from 'node:http';
import { join } from 'node:path';
import type { Io } from '../../harness/cli/common/io.ts';
import type { Desk } from '../../harness/cli/view/desk.ts';
import { openServer } from '../../harness/cli/view/open-server.ts';
import { newPerson } from '../archive/signed-run.ts';

export interface Answer {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  /** Without style sheets, which say nothing and fill the screen when a test fails. */
  readonly text: string;
}

export interface Asked {
  readonly method?: string;
  readonly headers?: Readonly<Record<string, string>>;
  readonly body?: string;
}

/** A real server over an archive, and a client that sends paths and headers exactly as they are written. */
export async function openDesk(root: string, over: Partial<Desk> = {}) {
  const said: string[] = [];
  const say = (text: string) => void said.push(text);
  const io: Io = {
    stdout: say,
    stderr: say,
    env: {},
    cwd: root,
    terminal: false,
    colour: false,
    columns: 100,
    interrupted: new AbortController().signal,
    exitCode: 0,
  };
  const desk: Desk = {
    root,
    keyFile: null,
    publicFiles: [],
    policyFile: null,
    loopback: true,
    io,
    ...over,
  };
  const server = await openServer(desk, { host: '127.0.0.1', port: 0 });
  const address = new URL(server.address);
  const raw = (path: string, asked: Asked = {}) => send(address, path, asked);
  const opened = await raw(address.pathname + address.search);
  const cookie = opened.headers['set-cookie']![0]!.split(';')[0]!;
  /** With the cookie. */
  const ask = (path: string, asked: Asked = {}) =>
    raw(path, { ...asked, headers: { cookie, ...asked.headers } });
  return { server, address, opened, cookie, raw, ask, said };
}

function send(
  address: URL,
  path: string,
  { method = 'GET', headers = {}, body }: Asked,
): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const sent = request(
      { host: address.hostname, port: address.port, path, method, headers, agent: false },
      (response) => {
        const parts: Buffer[] = [];
        response.on('data', (part: Buffer) => parts.push(part));
        response.on('end', () =>
          resolve({
            status: response.statusCode ?? 0,
            headers: response.headers,
            text: Buffer.concat(parts)
              .toString()
              .replace(/<style>.*?<\/style>/gs, ''),
          }),
        );
        response.on('error', reject);
      },
    );
    sent.on('error', reject);
    sent.end(body);
  });
}

/** A form as a browser would send it from one of the server's own pages. */
export function form(address: URL, fields: readonly (readonly [string, string])[]): Asked {
  return {
    method: 'POST',
    headers: { 'content-type': 'application/x-www-form-urlencoded', origin: address.origin },
    body: new URLSearchParams(fields.map(([name, value]) => [name, value])).toString(),
  };
}

/** Key files of a person in `folder`. */
export async function keyFiles(folder: string, name: string) {
  const person = newPerson(name);
  const file = join(folder, `${name.toLowerCase()}.pem`);
  writeFileSync(file, await person.privatePem(), { mode: 0o600 });
  writeFileSync(file.replace('.pem', '.pub.pem'), person.publicPem);
  return { file, public: file.replace('.pem', '.pub.pem'), id: person.id };
}
