import { appendFileSync } from 'node:fs';
import { type RunnerTestCase, TestRunner } from 'vitest';
import { cpuTime, noMutant, nothingPassed, theSwitch, tooSlow } from './switch.ts';

// It has to be there when changed code is loaded, which notes at once what is passed through.
theSwitch();

interface Tried {
  readonly run: () => unknown;
  readonly milliseconds: number;
  /** By change, 1 where it passes through. */
  readonly passed: Uint8Array;
  /** Changes that it noticed. */
  noticed: number;
}

/**
 * Runs each test as it is, and then again with each change of the code that it passes through, the test first that
 * noticed the most for its time, until one test notices the change. What came out goes line by line to a file, so that a change that hangs is known by its name.
 */
export default class MutatingRunner extends TestRunner {
  readonly #tried: Tried[] = [];

  async runTask(test: RunnerTestCase): Promise<void> {
    const name = nameOf(test);
    if (slow.has(name)) return;
    log(`run ${name}`);
    const run = TestRunner.getTestFn(test);
    const passed = nothingPassed();
    const noting = cpuTime();
    Object.assign(theSwitch(), { passed, until: noting + longestNoting });
    const isSlow = () => cpuTime() - noting > longestNoting;
    try {
      await run();
    } catch (failure) {
      if (!isSlow()) throw failure;
    } finally {
      theSwitch().passed = null;
    }
    if (!passed.includes(1)) return;
    if (isSlow()) return log(`${tooSlow}${name}`);
    // A test that cannot be run twice would notice every change.
    const again = cpuTime();
    await this.#changed(noMutant, run, longestNoting);
    const milliseconds = cpuTime() - again;
    this.#tried.push({ run, milliseconds, passed, noticed: 0 });
    log(
      milliseconds < slowest ? `ran ${Math.round(milliseconds)} ms ${name}` : `${tooSlow}${name}`,
    );
  }

  override async onAfterRunFiles(): Promise<void> {
    super.onAfterRunFiles();
    theSwitch().passed = null;
    if (this.#tried.length === 0) return log('no test passes through the changes');
    const known = new Set((process.env['MUTATION_KNOWN'] ?? '').split(',').map(Number));
    const tried = this.#tried.filter(({ milliseconds }) => milliseconds < slowest);
    log(`of ${this.#tried.length} tests ${tried.length} are quick enough`);
    for (const id of nothingPassed().keys()) {
      if (theSwitch().atLoad[id]) log(`static ${id}`);
      if (known.has(id) || !tried.some(({ passed }) => passed[id])) continue;
      log(`try ${id}`);
      log(`${(await this.#isNoticed(id, tried)) ? 'noticed' : 'missed'} ${id}`);
    }
    log('end');
  }

  async #isNoticed(id: number, tried: readonly Tried[]): Promise<boolean> {
    let spent = 0;
    const passing = tried.filter(({ passed }) => passed[id]);
    for (const test of passing.sort((a, b) => worth(b) - worth(a))) {
      if ((spent += test.milliseconds) > patience) return false;
      try {
        await this.#changed(id, test.run, 4000 + 20 * test.milliseconds);
      } catch {
        test.noticed++;
        return true;
      }
      // The messages of the parent are read in between.
      await new Promise((resolve) => setImmediate(resolve));
    }
    return false;
  }

  async #changed(id: number, run: () => unknown, milliseconds: number): Promise<void> {
    const state = theSwitch();
    state.turn++;
    state.end = cpuTime() + milliseconds;
    state.activeMutant = id;
    try {
      await run();
    } finally {
      state.activeMutant = noMutant;
      state.end = Number.POSITIVE_INFINITY;
      state.turn++;
    }
  }
}

/**
 * In ms of this process: a slower test is not asked, and no more tests than take so long together. So the figure errs on the safe
 * side: a change counts as missed that only the others would notice.
 */
const slowest = 1000;
/** Names of tests that the run before this one found too slow. */
const slow = new Set<string>(JSON.parse(process.env['MUTATION_SLOW'] ?? '[]'));
const patience = Number(process.env['MUTATION_PATIENCE']);
/** To note what is passed through takes time, but not so much: a test that takes longer is too slow. In ms. */
const longestNoting = 10_000;

/** With those of the suites that it is in. */
function nameOf({ name, suite }: Pick<RunnerTestCase, 'name' | 'suite'>): string {
  return suite ? `${nameOf(suite)} > ${name}` : name;
}

function worth({ noticed, milliseconds }: Tried): number {
  return (noticed + 1) / milliseconds;
}

function log(line: string): void {
  appendFileSync(process.env['MUTATION_LOG'] ?? '', `${line}\n`);
}
