import { appendFileSync } from 'node:fs';
import { type RunnerTestCase, TestRunner } from 'vitest';
import { theSwitch } from './switch.ts';

interface Tried {
  readonly run: () => unknown;
  readonly milliseconds: number;
  readonly passed: Readonly<Record<string, number>>;
}

/**
 * Runs each test as it is, and then again with each change of the code that it passes through, the quickest test first, until
 * one test notices the change. What came out goes line by line to a file, so that a change that hangs is known by its name.
 */
export default class MutatingRunner extends TestRunner {
  readonly #tried: Tried[] = [];

  async runTask(test: RunnerTestCase): Promise<void> {
    log(`run ${test.name}`);
    const run = TestRunner.getTestFn(test);
    const started = cpuTime();
    theSwitch().currentTestId = test.id;
    try {
      await run();
    } finally {
      theSwitch().currentTestId = undefined;
    }
    const passed = theSwitch().mutantCoverage.perTest[test.id] ?? {};
    if (Object.keys(passed).length === 0) return;
    // A test that cannot be run twice would notice every change.
    const again = cpuTime();
    await this.#changed(undefined, run, again - started);
    const milliseconds = cpuTime() - again;
    this.#tried.push({ run, milliseconds, passed });
    log(`ran ${Math.round(milliseconds)} ms ${test.name}`);
  }

  override async onAfterRunFiles(): Promise<void> {
    super.onAfterRunFiles();
    const known = new Set((process.env['MUTATION_KNOWN'] ?? '').split(','));
    const tried = this.#tried
      .filter(({ milliseconds }) => milliseconds < slowest)
      .sort((a, b) => a.milliseconds - b.milliseconds);
    log(`of ${this.#tried.length} tests ${tried.length} are quick enough`);
    for (const id of new Set(tried.flatMap(({ passed }) => Object.keys(passed)))) {
      if (known.has(id)) continue;
      log(`try ${id}`);
      log(`${(await this.#isNoticed(id, tried)) ? 'noticed' : 'missed'} ${id}`);
    }
    for (const id of Object.keys(theSwitch().mutantCoverage.static)) log(`static ${id}`);
    log('end');
  }

  async #isNoticed(id: string, tried: readonly Tried[]): Promise<boolean> {
    let spent = 0;
    for (const { run, milliseconds, passed } of tried) {
      if (!(id in passed)) continue;
      if ((spent += milliseconds) > patience) return false;
      try {
        await this.#changed(id, run, milliseconds);
      } catch {
        return true;
      }
      // The messages of the parent are read in between.
      await new Promise((resolve) => setImmediate(resolve));
    }
    return false;
  }

  async #changed(id: string | undefined, run: () => unknown, milliseconds: number): Promise<void> {
    const state = theSwitch();
    state.turn++;
    limitTime(4000 + 20 * milliseconds);
    state.activeMutant = id;
    state.idle = true;
    try {
      await run();
    } finally {
      state.activeMutant = undefined;
      state.idle = false;
      state.turn++;
    }
  }
}

/**
 * In ms of this process: a slower test is not asked, and no more tests than take so long together. So the figure errs on the safe
 * side: a change counts as missed that only the others would notice.
 */
const slowest = 1000;
const patience = 2000;

function cpuTime(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

/** The instrumented code throws once its count of hits is over the limit: here, once its time is. */
function limitTime(milliseconds: number): void {
  const end = performance.now() + milliseconds;
  let hits = 0;
  Object.defineProperties(theSwitch(), {
    hitCount: { configurable: true, get: () => 0, set: () => hits++ },
    hitLimit: {
      configurable: true,
      get: () => (hits % 256 === 0 && performance.now() > end ? -1 : 1),
    },
  });
}

function log(line: string): void {
  appendFileSync(process.env['MUTATION_LOG'] ?? '', `${line}\n`);
}
