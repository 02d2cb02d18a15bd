import type { Page, Request, Response } from 'playwright-core';
import { plainLine } from '../../harness/files/plain-text.ts';
import { fillStep, type PageStep } from './page-steps.ts';

interface Patience {
  readonly page: Page;
  /** ms that a page may take to say what is waited for before what it says instead is looked at. */
  readonly patience: number;
}

/** Answers of something between us and the lamp (RFC 9110, 15.6.3 to 15.6.5): not the lamp's words. */
const betweenUs: readonly number[] = [502, 503, 504];

/**
 * Does the steps. Null where all came to their end; the words of the page where it says something else than what is waited
 * for, although every request that it made was answered. Rejects as Playwright does where it says nothing.
 */
export async function refusalOf(
  steps: readonly PageStep[],
  values: ReadonlyMap<string, string>,
  { page, patience }: Patience,
): Promise<string | null> {
  const requests = new Requests(page);
  try {
    for (const step of steps) {
      const words = await perform(step, values, { page, patience }, requests);
      if (words !== null) return words;
    }
    return null;
  } finally {
    requests.forget();
  }
}

async function perform(
  step: PageStep,
  values: ReadonlyMap<string, string>,
  { page, patience }: Patience,
  requests: Requests,
): Promise<string | null> {
  if ('fill' in step) await page.locator(step.fill).fill(fillStep(step.with, values));
  else if ('click' in step) await page.locator(step.click).click();
  else if ('choose' in step)
    await page.locator(step.choose).selectOption(fillStep(step.value, values));
  else {
    const place = page.locator(step.wait);
    if (step.text === undefined) await place.waitFor();
    else {
      const told = place.filter({ hasText: step.text });
      const came = await told.waitFor({ timeout: patience }).then(
        () => true,
        () => false,
      );
      const words = came ? '' : await wordsOf(page, step.wait);
      if (words !== '' && requests.allAnswered) return words;
      if (!came) await told.waitFor();
    }
  }
  return null;
}

/** What stands there, where it is a word. */
async function wordsOf(page: Page, selector: string): Promise<string> {
  const texts = await page
    .locator(selector)
    .allTextContents()
    .catch(() => []);
  const words = plainLine(texts.join(' ').trim()).slice(0, 200);
  return /[a-z0-9]{2}/i.test(words) && !/(…|\.\.\.)$/.test(words) ? words : '';
}

/** The requests that a page made since this was made. */
class Requests {
  readonly #page: Page;
  readonly #open = new Set<Request>();
  #made = 0;
  #lost = 0;

  constructor(page: Page) {
    this.#page = page;
    page.on('request', this.#begun).on('requestfinished', this.#ended);
    page.on('requestfailed', this.#failed).on('response', this.#answered);
  }

  /** At least one was made, and each of them was answered by the lamp itself. */
  get allAnswered(): boolean {
    return this.#made > 0 && this.#open.size === 0 && this.#lost === 0;
  }

  forget(): void {
    this.#page.off('request', this.#begun).off('requestfinished', this.#ended);
    this.#page.off('requestfailed', this.#failed).off('response', this.#answered);
  }

  readonly #begun = (request: Request): void => {
    this.#made++;
    this.#open.add(request);
  };

  readonly #ended = (request: Request): void => {
    this.#open.delete(request);
  };

  readonly #failed = (request: Request): void => {
    this.#lost++;
    this.#open.delete(request);
  };

  readonly #answered = (response: Response): void => {
    if (betweenUs.includes(response.status())) this.#lost++;
  };
}
