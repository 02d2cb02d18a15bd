import type * as z from 'zod';
import { BenchError, type BenchErrorKind } from '../../harness/bench/errors.ts';
import type { Call, Clock, Identity } from '../../harness/bench/ports.ts';
import { plainLine } from '../../harness/files/plain-text.ts';
import { Mutex } from '../transport/mutex.ts';
import { runProgram } from '../transport/run-program.ts';
import { withDeadline } from '../transport/with-deadline.ts';
import { identityAnswer } from './program-answers.ts';

export interface ProgramParts {
  readonly name: string;
  readonly command: readonly string[];
  readonly folder: string;
  readonly clock: Clock;
}

/**
 * An instrument that a program reads: each call runs it once, with the order as JSON on its stdin
 * (`{"do": "read"}`), and takes one JSON value from its stdout. One run at a time.
 */
export class ProgramInstrument {
  readonly driver = 'program';
  readonly name: string;
  protected readonly clock: Clock;
  readonly #parts: ProgramParts;
  readonly #mutex = new Mutex();
  readonly #closing = new AbortController();

  constructor(parts: ProgramParts) {
    this.name = parts.name;
    this.clock = parts.clock;
    this.#parts = parts;
  }

  async identify(call: Call): Promise<Identity> {
    const answer = await this.ask({ do: 'identify' }, identityAnswer, call);
    const { maker, model, serial, firmware } = answer;
    return { maker, model, serial, firmware, raw: JSON.stringify(answer) };
  }

  close(): Promise<void> {
    this.#closing.abort();
    return Promise.resolve();
  }

  protected ask<Schema extends z.ZodType>(
    order: Readonly<Record<string, unknown>> & { readonly do: string },
    answer: Schema,
    call: Call,
  ): Promise<z.infer<Schema>> {
    return withDeadline(this.name, call, this.#closing.signal, (signal) =>
      this.#mutex.run(signal, async () => {
        const input = `${JSON.stringify(order)}\n`;
        const text = (await runProgram({ ...this.#parts, input }, signal)).toString('utf8').trim();
        return this.#read(order.do, text, answer);
      }),
    );
  }

  protected error(kind: BenchErrorKind, why: string, cause?: unknown): BenchError {
    return new BenchError(kind, this.name, `${this.name}: ${why}`, { cause });
  }

  #read<Schema extends z.ZodType>(order: string, text: string, schema: Schema): z.infer<Schema> {
    const shown = plainLine(text).slice(0, 60);
    let value: unknown;
    try {
      value = text === '' ? null : JSON.parse(text);
    } catch (error) {
      throw this.error(
        'garbled',
        `its program answered "${order}" with "${shown}"; expected JSON`,
        error,
      );
    }
    const parsed = schema.safeParse(value);
    if (parsed.success) return parsed.data;
    const why = parsed.error.issues
      .map(({ path, message }) => `${path.map(String).join('.') || 'the value'}: ${message}`)
      .join('; ');
    throw this.error('garbled', `its program answered "${order}" with "${shown}": ${why}`);
  }
}
