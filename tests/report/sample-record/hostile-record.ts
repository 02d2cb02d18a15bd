import type { RunRecord } from '../../../harness/record/run-record.ts';
import { shortRecord } from './run-of-every-verdict.ts';

/** What a lamp's console or a spec of a stranger may carry: markup, commands, controls, broken text. */
export const hostile =
  '</script><script>alert(1)</script> <img src=x onerror=alert(1)> ]]> & "quoted" \'single\' ' +
  '::error::x ##[error]y \u001b[31mred\u001b[0m \u0000\u0007\u202e \ud800 \ufffe | `code` [a](javascript:x) \n::warning::z \u2028';

/** The short record with hostile text in every place that a stranger can write. */
export function hostileRecord(): RunRecord {
  const record = shortRecord();
  for (const [k, one] of record.specs.entries()) {
    one.claim = `${hostile} ${k}`;
    one.file = `specs/${hostile}`;
    one.traces = [hostile];
    one.tags = [hostile];
    if (one.reason) one.reason = hostile;
    for (const point of one.conditions) {
      point.key = hostile;
      if (point.reason) point.reason = hostile;
      for (const command of point.commands) {
        command.text = hostile;
        command.reply = hostile;
      }
      for (const found of point.findings) {
        found.title = hostile;
        found.of = hostile;
        found.limits.text = hostile;
        found.source = hostile;
        if (found.reason) found.reason = hostile;
        found.evidence.notes[hostile] = hostile;
        for (const chart of found.evidence.charts) chart.title = hostile;
      }
    }
  }
  record.lamp.name = hostile;
  record.lamp.build = hostile;
  record.rig.name = hostile;
  record.deviations.push({ kind: hostile, text: hostile });
  return record;
}
