import { setTimeout as pause } from 'node:timers/promises';
import * as z from 'zod';
import { Complaint } from '../../workflow/complaint.ts';
import { refusalSchema } from '../protocol.ts';
import { Refusal, type RefusalKind } from '../refusal.ts';

/** ms that one request may take. */
const patience = 30_000;
/** ms for which the first question is tried again: an address may be wrong. */
const firstPatience = 5000;
/** ms before a request is tried again: the first time, and at most. */
const again = { first: 200, most: 5000 } as const;

interface Asked<Schema extends z.ZodType> {
  readonly method: 'GET' | 'POST' | 'PUT';
  readonly path: string;
  readonly body?: unknown;
  readonly answer: Schema;
}

/**
 * Asks a lab over HTTP with a token. What does not come through, or what the lab cannot do now, is tried again until the signal aborts or
 * `until` ms have passed; what it refuses is rejected with at once, as a Refusal.
 */
export class LabClient {
  readonly #url: string;
  readonly #token: string;
  readonly #signal: AbortSignal;

  constructor(url: string, token: string, signal: AbortSignal) {
    this.#url = url.replace(/\/+$/, '');
    this.#token = token;
    this.#signal = signal;
  }

  /** The same lab for work that goes on after the signal, such as handing a shard back. */
  beyond(signal: AbortSignal): LabClient {
    return new LabClient(this.#url, this.#token, signal);
  }

  async ask<Schema extends z.ZodType>(
    { method, path, body, answer }: Asked<Schema>,
    until = Number.POSITIVE_INFINITY,
  ): Promise<z.infer<Schema>> {
    const json = body === undefined ? {} : { 'Content-Type': 'application/json' };
    const text = body === undefined ? undefined : JSON.stringify(body);
    const init = { method, headers: json, body: text };
    return answer.parse(await this.#send(path, init, (response) => response.json(), until));
  }

  /** Who the token is of: a first question, which is not tried for long. Rejects with a Complaint `unreachable` where no lab answers. */
  me(): Promise<{ readonly name: string }> {
    const answer = z.object({ name: z.string() });
    return this.ask({ method: 'GET', path: '/api/me', answer }, firstPatience);
  }

  /** One piece of a file. */
  async sendPiece(
    digest: string,
    { from, of, bytes }: { readonly from: number; readonly of: number; readonly bytes: Uint8Array },
  ): Promise<void> {
    const path = `/api/files/${digest}?from=${from}&of=${of}`;
    const headers = { 'Content-Type': 'application/octet-stream' };
    const init = { method: 'PUT', headers, body: bytes as BodyInit };
    await this.#send(path, init, (response) => response.arrayBuffer(), patience);
  }

  bytes(digest: string): Promise<Uint8Array> {
    return this.fileAt(`/api/files/${digest}`);
  }

  async fileAt(path: string): Promise<Uint8Array> {
    const init = { method: 'GET' };
    return new Uint8Array(await this.#send(path, init, (response) => response.arrayBuffer()));
  }

  /** An answer that broke off is asked for again, too. */
  async #send<Result>(
    path: string,
    init: Omit<RequestInit, 'body'> & { body?: BodyInit | undefined },
    read: (response: Response) => Promise<Result>,
    until = Number.POSITIVE_INFINITY,
  ): Promise<Result> {
    const end = performance.now() + until;
    for (let wait: number = again.first; ; wait = Math.min(2 * wait, again.most)) {
      try {
        return await read(await this.#once(path, init));
      } catch (error) {
        if (error instanceof Refusal && error.kind !== 'away') throw error;
        this.#signal.throwIfAborted();
        if (performance.now() + wait > end) throw unreachable(this.#url, error as Error);
      }
      await pause(wait, undefined, { signal: this.#signal });
    }
  }

  async #once(
    path: string,
    { body, ...init }: Omit<RequestInit, 'body'> & { body?: BodyInit | undefined },
  ): Promise<Response> {
    const headers = { ...init.headers, Authorization: `Bearer ${this.#token}` };
    const signal = AbortSignal.any([this.#signal, AbortSignal.timeout(patience)]);
    const response = await fetch(`${this.#url}${path}`, {
      ...init,
      ...{ headers, signal, redirect: 'error' },
      ...(body !== undefined && { body }),
    });
    if (response.ok) return response;
    const said = refusalSchema.safeParse(await response.json().catch(() => null));
    const kind = said.success ? (said.data.kind as RefusalKind) : 'away';
    throw new Refusal(kind, said.success ? said.data.refused : `HTTP status ${response.status}`);
  }
}

function unreachable(url: string, error: Error): Complaint {
  const why = (error.cause as Error | undefined)?.message ?? error.message;
  return new Complaint('unreachable', `expected a lab at ${url}: ${why}`, { cause: error });
}

/** An answer without content. */
export const nothing = z.object({});
