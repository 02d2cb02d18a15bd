import { ConditionPieces } from '../../archive/pieces.ts';
import type { PieceKeeper } from '../../bench/ports.ts';
import { schedule } from '../../plan/schedule.ts';
import { conditionId } from '../../record/ids.ts';
import type { RunListener } from '../../run/engine/events.ts';
import type { ConditionTask } from '../../run/engine/lane.ts';

/** Conditions that take longer than this have their pieces stored, s. */
const longCondition = 600;

/** Keeps what long conditions of a run bring, from the moment that the run has a folder. */
export class PieceStore {
  readonly #longerThan: number;
  readonly #kept = new Map<string, readonly ConditionPieces[]>();
  #folder: string | null = null;

  constructor(longerThan = longCondition) {
    this.#longerThan = longerThan;
  }

  /** The run has its folder now. */
  into(folder: string): void {
    this.#folder = folder;
  }

  /** Undefined where the condition is short, or the run is not stored. */
  keeperOf(task: ConditionTask): PieceKeeper | undefined {
    const { spec, condition, repeat, position, lamp, measurement } = task;
    if (this.#folder === null) return undefined;
    if (schedule(condition.stimulus, lamp).duration <= this.#longerThan) return undefined;
    const which = measurement === undefined ? '' : `.${measurement}`;
    const name = `${String(position).padStart(4, '0')}-${spec}${which}`;
    const pieces = new ConditionPieces(this.#folder, name);
    const id = conditionId(spec, { key: condition.key, repeat });
    this.#kept.set(id, [...(this.#kept.get(id) ?? []), pieces]);
    const of = { spec, key: condition.key, repeat, ...(measurement && { measurement }) };
    pieces.reading({ ...of, pieces: 'of a condition that has not ended' });
    return {
      record: (file, { codes, rate, start, input, ...rest }, more) =>
        pieces.record(file, codes, { ...of, ...more, input, dt_s: 1 / rate, t0_s: start, ...rest }),
      reading: (reading) => pieces.reading({ ...reading }),
      bench: (line) => pieces.bench({ ...line }),
    };
  }

  /** What has come to a result goes; what ended in an error stays, since the result may lack it. */
  readonly listener: RunListener = async (event) => {
    if (event.event !== 'condition-ended' && event.event !== 'condition-undecided') return;
    const id = conditionId(event.spec, event.condition);
    const all = this.#kept.get(id) ?? [];
    this.#kept.delete(id);
    const isLacking = event.condition.verdict === 'error';
    for (const pieces of all) await (isLacking ? pieces.written() : pieces.remove());
  };
}
