import type { Browser, Page } from 'playwright-core';
import { BenchError, type BenchErrorKind, LampFailure } from '../../harness/bench/errors.ts';
import type {
  Call,
  Identity,
  LampLink,
  LampTarget,
  RawMessage,
  Reply,
} from '../../harness/bench/ports.ts';
import { plainLine } from '../../harness/files/plain-text.ts';
import { percentText, readIdentity } from '../console/command-line.ts';
import { Mutex } from '../transport/mutex.ts';
import { withDeadline } from '../transport/with-deadline.ts';
import type { PageStep } from './page-steps.ts';
import { refusalOf } from './perform-steps.ts';

/** A page that goes on talking to its lamp is used after this long, ms. */
const settleTime = 2000;

export interface WebpageParts {
  readonly name: string;
  readonly url: string;
  /** Path of the browser. */
  readonly browser: string;
  readonly set: readonly PageStep[];
  readonly fade?: readonly PageStep[] | undefined;
  readonly off: readonly PageStep[];
  readonly reset?: readonly PageStep[] | undefined;
  /** Element whose text is maker, model, serial, firmware with commas between. */
  readonly identity?: string | undefined;
}

/** A lamp that is set by its own web page: does on it what a person would, by the selectors of the rig file. */
export class WebpageLampLink implements LampLink {
  readonly kind = 'lamp-link';
  readonly driver = 'webpage';
  readonly link = 'webpage';
  readonly name: string;
  readonly #parts: WebpageParts;
  readonly #mutex = new Mutex();
  readonly #closing = new AbortController();
  #opened: { readonly browser: Browser; readonly page: Page } | null = null;

  constructor(parts: WebpageParts) {
    this.name = parts.name;
    this.#parts = parts;
  }

  identify(call: Call): Promise<Identity> {
    const { identity, url } = this.#parts;
    return this.#use(call, async (page) => {
      if (identity === undefined) return readIdentity(`, ${plainLine(await page.title())}, , `);
      const text = await page.locator(identity).textContent();
      if (!text) throw this.#error('garbled', `no text in ${identity} of ${url}`);
      return readIdentity(text);
    });
  }

  /** A title alone is no name of a lamp. */
  async whoIsLamp(call: Call): Promise<Identity | null> {
    const identity = await this.identify(call);
    return this.#parts.identity === undefined ? null : identity;
  }

  set(target: LampTarget, call: Call): Promise<void> {
    return this.#do(this.#parts.set, valuesOf(target, 0), call);
  }

  async fade(target: LampTarget, over: number, call: Call): Promise<void> {
    const { fade } = this.#parts;
    if (!fade) throw this.#error('unsupported', 'its page has no fade; add "fade" to the rig file');
    await this.#do(fade, valuesOf(target, over), call);
  }

  send(message: RawMessage): Promise<Reply> {
    return Promise.reject(
      this.#error(
        'unsupported',
        `a page carries no messages, so no ${message.link} message either`,
      ),
    );
  }

  carry(): Promise<void> {
    return Promise.reject(this.#error('unsupported', 'a page has no signal that could be stopped'));
  }

  noise(): Promise<void> {
    return Promise.reject(this.#error('unsupported', 'a page has no line that could be disturbed'));
  }

  async reset(call: Call): Promise<void> {
    const { reset } = this.#parts;
    if (!reset) throw this.#error('unsupported', 'its page has no restart; use its console');
    await this.#do(reset, new Map(), call);
    await this.#leave();
  }

  /** Confirmed where `off` ends with a wait for what the page says then. */
  async safe(call: Call): Promise<{ readonly confirmed: boolean }> {
    await this.#do(this.#parts.off, new Map(), call);
    const last = this.#parts.off.at(-1);
    return { confirmed: last !== undefined && 'wait' in last };
  }

  async close(): Promise<void> {
    this.#closing.abort();
    await this.#leave();
  }

  #do(steps: readonly PageStep[], values: ReadonlyMap<string, string>, call: Call): Promise<void> {
    return this.#use(call, async (page) => {
      // A part of the deadline: twice to hear the lamp refuse, and room for pages and lamps that are slow.
      const patience = (call.deadline * 1000) / 4;
      const first = await refusalOf(steps, values, { page, patience });
      if (first === null) return;
      const second = await refusalOf(steps, values, { page, patience });
      if (second === null)
        throw this.#error(
          'garbled',
          `its page said "${first}" at first, and was content with the same steps a moment later; check the network`,
        );
      throw new LampFailure(
        `its page said "${first}" to steps that its rig file allows, and "${second}" when they were done again, while every request of the page was answered`,
        undefined,
        { manner: 'refused' },
      );
    });
  }

  #use<T>(call: Call, work: (page: Page) => Promise<T>): Promise<T> {
    return withDeadline(this.name, call, this.#closing.signal, (signal) =>
      this.#mutex.run(signal, async () => {
        // What hangs in the browser ends with it.
        const leave = (): void => void this.#leave();
        signal.addEventListener('abort', leave, { once: true });
        try {
          return await work(await this.#page(call.deadline, signal));
        } catch (error) {
          await this.#leave();
          throw error;
        } finally {
          signal.removeEventListener('abort', leave);
        }
      }),
    );
  }

  async #page(patience: number, signal: AbortSignal): Promise<Page> {
    if (this.#opened && !this.#opened.page.isClosed()) return this.#opened.page;
    const { chromium } = await import('playwright-core');
    const browser = await chromium.launch({ executablePath: this.#parts.browser });
    // Given up meanwhile: nobody would close it any more.
    if (signal.aborted) await browser.close();
    signal.throwIfAborted();
    const page = await browser.newPage();
    this.#opened = { browser, page };
    if (signal.aborted) await this.#leave();
    page.setDefaultTimeout(patience * 1000);
    const answer = await page.goto(this.#parts.url, { waitUntil: 'load' });
    if (answer && !answer.ok())
      throw this.#error(
        'garbled',
        `${this.#parts.url} answered ${answer.status()} instead of a page`,
      );
    // Many pages fetch the lamp's state and fill their fields with it: what is typed before is lost.
    await page.waitForLoadState('networkidle', { timeout: settleTime }).catch(() => {});
    return page;
  }

  async #leave(): Promise<void> {
    const held = this.#opened;
    this.#opened = null;
    await held?.browser.close().catch(() => {});
  }

  #error(kind: BenchErrorKind, why: string): BenchError {
    return new BenchError(kind, this.name, `web page ${this.name}: ${why}`);
  }
}

function valuesOf(target: LampTarget, over: number): ReadonlyMap<string, string> {
  return new Map([
    ['level', percentText(target.level)],
    ['milliseconds', String(Math.round(over * 1000))],
    ['seconds', String(over)],
    ...Object.entries(target.intensities).map(
      ([channel, intensity]) => [`intensity ${channel}`, percentText(intensity)] as const,
    ),
  ]);
}
