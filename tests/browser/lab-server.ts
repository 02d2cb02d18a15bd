import { createServer, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { labScript } from '../../harness/report/html/assets.js';
import { sourceHash } from '../../harness/report/html/document.ts';
import type { Html } from '../../harness/report/html/html.ts';
import { renderSheet, sheetStyles } from '../../harness/report/pages/archive/sheet.ts';
import { labFront } from '../../harness/report/pages/lab/lab-front.ts';
import type { LabState } from '../../harness/report/pages/lab/lab-state.ts';
import { submissionPage } from '../../harness/report/pages/lab/submission-page.ts';

/** As `evenfall view` sends a page with a script. */
const policy = `default-src 'none'; style-src ${sheetStyles}; img-src data:; form-action 'self'; script-src ${sourceHash(labScript)}; connect-src 'self'`;

/** A server that shows the pages of a lab and tells its state to those that are open; it can go away and come back. */
export class LabServer {
  state: LabState;
  #server: Server | undefined;
  #port = 0;
  readonly #open = new Set<ServerResponse>();
  /** Connections to its events so far. */
  followed = 0;

  constructor(state: LabState) {
    this.state = state;
  }

  get origin(): string {
    return `http://127.0.0.1:${this.#port}`;
  }

  async start(): Promise<void> {
    const server = createServer(({ url = '/' }, response) => this.#answer(url, response));
    this.#server = server;
    await new Promise<void>((listening, refuse) => {
      server.once('error', refuse);
      server.listen(this.#port, '127.0.0.1', listening);
    });
    this.#port = (server.address() as AddressInfo).port;
  }

  async stop(): Promise<void> {
    const stopped = new Promise((done) => this.#server?.close(done));
    this.#server?.closeAllConnections();
    this.#open.clear();
    await stopped;
  }

  /** To every page that is open. */
  tell(state: LabState): void {
    this.state = state;
    for (const response of this.#open) response.write(eventOf(state));
  }

  /** Pages that listen now. */
  get listeners(): number {
    return this.#open.size;
  }

  #answer(url: string, response: ServerResponse): void {
    const submission = this.state.submissions.find(({ id }) => url === `/lab/submissions/${id}`);
    if (url === '/lab/events') this.#follow(response);
    else if (url === '/lab') send(response, labFront(this.state));
    else if (submission) send(response, submissionPage(submission));
    else response.writeHead(404).end();
  }

  #follow(response: ServerResponse): void {
    this.followed++;
    response.writeHead(200, { 'content-type': 'text/event-stream', 'cache-control': 'no-store' });
    response.write(eventOf(this.state));
    this.#open.add(response);
    response.on('close', () => this.#open.delete(response));
  }
}

function eventOf(state: LabState): string {
  return `event: state\ndata: ${JSON.stringify(state)}\n\n`;
}

function send(response: ServerResponse, body: Html): void {
  const headers = { 'content-type': 'text/html', 'content-security-policy': policy };
  response
    .writeHead(200, headers)
    .end(renderSheet({ title: 'Lab', place: null, body, script: labScript }));
}
