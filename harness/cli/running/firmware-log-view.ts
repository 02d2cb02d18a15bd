import { plainLine } from '../../files/plain-text.ts';
import { claimCondition } from '../../record/condition-words.ts';
import { firmwareLines } from '../../record/firmware-lines.ts';
import { logLineText } from '../../report/words/log-words.ts';
import { counted } from '../../report/words/prose.ts';
import type { RunListener } from '../../run/engine/events.ts';
import type { Io } from '../common/io.ts';
import { clearLine } from './terminal-view.ts';

/** What the firmware said, on stderr, condition by condition as they end. */
export function firmwareLogView(io: Io): RunListener {
  return (event) => {
    if (event.event !== 'condition-ended') return;
    const lines = firmwareLines(event.condition);
    if (lines.length === 0) return;
    const count = counted(lines.filter(({ isGap }) => !isGap).length, 'line');
    const head = `${claimCondition(event.spec, event.condition.key)}: the firmware said ${count}`;
    const texts = [plainLine(head), ...lines.map((line) => `  ${plainLine(logLineText(line))}`)];
    io.stderr(`${io.terminal ? clearLine : ''}${texts.join('\n')}\n`);
  };
}
