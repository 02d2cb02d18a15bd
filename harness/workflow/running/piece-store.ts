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
  readonly #kept = new Map<string, ConditionPieces>();
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
    const { spec, condition, repeat, position, lamp } = task;
    if (this.#folder === null) return undefined;
    if (schedule(condition.stimulus, lamp).duration <= this.#longerThan) return undefined;
    const name = `${String(position).padStart(4, '0')}-${spec}`;
    const pieces = new ConditionPieces(this.#folder, name);
    this.#kept.set(conditionId(spec, { key: condition.key, repeat }), pieces);
    const of = { spec, key: condition.key, repeat };
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
    if (event.event !== 'condition-ended') return;
    const id = conditionId(event.spec, event.condition);
    const pieces = this.#kept.get(id);
    this.#kept.delete(id);
    if (event.condition.verdict === 'error') await pieces?.written();
    else await pieces?.remove();
  };
}
