import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { listen } from '../../harness/cli/common/listen.ts';
import { labApp } from '../../harness/cli/lab/app.ts';
import type { Holder } from '../../harness/lab/access/access.ts';
import { type Lab, openLab } from '../../harness/lab/lab.ts';
import { overviewOf } from '../../harness/lab/lab-overview.ts';
import type { NewsFile } from '../../harness/workflow/news/read-news.ts';
import { prepareFolder } from './prepared-folder.ts';

/** A lab within this process, with its own database, and its service without a port. */
export class OpenLab {
  readonly lab: Lab;
  readonly folder: string;
  readonly errors: string[];
  readonly #fetch: (request: Request) => Response | Promise<Response>;

  #server: Awaited<ReturnType<typeof listen>> | null = null;

  private constructor(lab: Lab, folder: string, errors: string[]) {
    this.lab = lab;
    this.folder = folder;
    this.errors = errors;
    const stderr = (text: string): void => void errors.push(text);
    this.#fetch = labApp(lab, {
      ...{ stdout: () => {}, stderr, env: {}, cwd: folder, terminal: false, colour: false },
      ...{ columns: 80, interrupted: new AbortController().signal, exitCode: 0 },
    }).fetch;
  }

  static async open(
    silence = 30,
    news: NewsFile | null = null,
    policyFile: string | null = null,
    database: string | undefined = undefined,
    begun: string | undefined = undefined,
  ): Promise<OpenLab> {
    const folder = begun ?? mkdtempSync(join(tmpdir(), 'evenfall-lab-'));
    if (begun === undefined && database === undefined) await prepareFolder(folder);
    const errors: string[] = [];
    const lab = await openLab({
      ...{ folder, archive: join(folder, 'reports'), database, silence, attempts: 3 },
      keepFiles: 30 * 86_400,
      policyFile,
      reports: () => ({ addCapture: () => {}, render: () => [] }),
      ...{ news, env: { SECRET: 'a secret that is long enough' } },
      signal: new AbortController().signal,
      onError: (error) => void errors.push(error.message),
    });
    return new OpenLab(lab, folder, errors);
  }

  token(name: string, ...roles: Holder['roles']): Promise<string> {
    const kind = roles.includes('run') ? 'rig' : 'person';
    return this.lab.access.add({ name, kind, roles }, 'test');
  }

  /** Status of the answer, and what it says. */
  async ask(
    token: string | null,
    method: string,
    path: string,
    body?: unknown,
  ): Promise<{ readonly status: number; readonly said: Record<string, unknown> }> {
    const isBytes = body instanceof Uint8Array;
    const headers = {
      ...(token !== null && { Authorization: `Bearer ${token}` }),
      ...(body !== undefined && !isBytes && { 'Content-Type': 'application/json' }),
    };
    const sent = body === undefined ? {} : { body: isBytes ? body : JSON.stringify(body) };
    const request = new Request(`http://lab${path}`, { method, headers, ...sent } as RequestInit);
    const response = await this.#fetch(request);
    const text = await response.text();
    const isJson = response.headers.get('content-type')?.includes('json');
    return { status: response.status, said: isJson ? JSON.parse(text) : { text } };
  }

  overview(): ReturnType<typeof overviewOf> {
    return overviewOf(this.lab);
  }

  /** A page, as a browser asks for it; redirections are not followed. */
  async page(path: string, init: RequestInit = {}): Promise<Response> {
    return this.#fetch(new Request(`http://lab${path}`, { redirect: 'manual', ...init }));
  }

  /** Its address, on a port of this computer. */
  async listen(port = 0): Promise<string> {
    this.#server ??= await listen(this.#fetch, { host: '127.0.0.1', port });
    return this.#server.origin;
  }

  async close(): Promise<void> {
    await this.#server?.close();
    await this.lab.close();
    rmSync(this.folder, { recursive: true, force: true });
  }
}
