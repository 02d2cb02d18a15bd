import { describe, expect, it } from 'vitest';
import type { Finding } from '../../../harness/record/run-record.ts';
import { renderEventLine } from '../../../harness/report/exchange/event-line.ts';
import { disarmed } from '../../../harness/report/text/disarmed.ts';
import { renderSummary } from '../../../harness/report/text/summary.ts';
import { shortRecord } from '../sample-record.ts';

/** What a job runner would take for a command: two colons at the start of a line, blanks aside, or the older mark. */
const command = /^\s*::|##\[/m;

describe('disarmed', () => {
  it('leaves nothing that begins a command, and all the words', () => {
    const hostile = '::error::x\n  ::set-output name=a::b\n\t:::debug:: ##[add-mask]y\n';
    expect(disarmed(hostile)).not.toMatch(command);
    expect(disarmed(hostile)).toContain('error::x');
  });

  it('leaves everything else as it is', () => {
    const plain = 'a::b\nfade-time=2 s: 2.01 s\n : one\n# [x] ## y\n';
    expect(disarmed(plain)).toBe(plain);
  });

  it('holds for the summary of a run whose lamp answers in commands, however lines break', () => {
    const record = shortRecord();
    const spec = record.specs.find(({ verdict }) => verdict === 'fail')!;
    const finding = spec.conditions[0]!.findings.find(({ verdict }) => verdict === 'fail')!;
    (finding as { reason: Finding['reason'] }).reason =
      `wanted “ok”, found “${'no ::error::owned '.repeat(12)}##[error]owned”`;
    let armed = 0;
    for (let columns = 40; columns <= 110; columns++) {
      const summary = renderSummary(record, { colour: false, columns });
      if (command.test(summary)) armed++;
      expect(disarmed(summary)).not.toMatch(command);
    }
    expect(armed).toBeGreaterThan(10);
  });
});

describe('a line of events', () => {
  it('holds the text of a lamp whole, and no command', () => {
    const text = 'x ##[error]owned\n::error::owned';
    const line = renderEventLine({ event: 'bench-trouble', text } as { event: string });
    expect(line).not.toMatch(command);
    expect(JSON.parse(line).text).toBe(text);
  });
});
