import { BenchError, LampFailure } from '../../bench/errors.ts';
import type { LampProperty } from '../../bench/lamp-properties.ts';
import { lampProperties } from '../../bench/lamp-properties.ts';
import type { Call, LampLink } from '../../bench/ports.ts';
import type { SelfReport } from '../../measure/observation.ts';
import type { CommandedLight } from '../../plan/commanded.ts';
import type { LampQuestion, ReportExpectation } from '../../plan/report-expectation.ts';

/** What a lamp said of itself, beside what it had to say; `found` in words where it says nothing. */
export interface SaidOfItself {
  readonly property: LampProperty;
  readonly expected: ReportExpectation;
  readonly found: number | string;
  /** SI, as it follows from the condition. */
  readonly target: number;
  /** Standard uncertainty of what was found less the target: steps of the reports, and their instants. */
  readonly standard: number;
}

/** What asking a lamp needs and leaves behind. */
interface Asking {
  readonly light: CommandedLight;
  /** Instant on the bench's clock at which the condition began. */
  readonly zero: number;
  readonly selfReports: SelfReport[];
  readonly saidOfItself: SaidOfItself[];
}

/** Asks a lamp, writes down what it says, and what it had to say. Throws a bench error where nobody knows what it said. */
export async function askLamp(
  { property, expect }: LampQuestion,
  { port, call }: { readonly port: LampLink; readonly call: Call },
  context: Asking,
): Promise<string> {
  if (!port.ask)
    throw new BenchError(
      'unsupported',
      port.name,
      `link ${port.name} cannot ask a lamp for its ${property}; use one that can`,
    );
  const report = await port.ask(property, call);
  const { selfReports, saidOfItself } = context;
  const before = selfReports.findLast((one) => one.property === property);
  if ('refused' in report) {
    // What has to be said for a metric's sake leaves it nothing to measure, and that is the lamp's doing.
    if (!expect)
      throw new LampFailure(`asked for its ${property}, it ${report.refused}`, undefined, {
        manner: 'refused',
      });
    saidOfItself.push({
      property,
      expected: expect,
      found: report.refused,
      target: expect.value,
      standard: 0,
    });
    return report.refused;
  }
  const { value, resolution, from, to } = report;
  const own = { property, value, resolution, from: from - context.zero, to: to - context.zero };
  selfReports.push(own);
  if (expect) saidOfItself.push(held(own, before, expect, context));
  return `${value} ${lampProperties[property].dimension}`;
}

/** Anywhere in a step, or in an interval, equally likely: a rectangle (JCGM 100:2008, 4.3.7). */
const rectangle = Math.sqrt(12);

function held(
  own: SelfReport & { readonly property: LampProperty },
  before: SelfReport | undefined,
  expected: ReportExpectation,
  { light }: Asking,
): SaidOfItself {
  const { property, value, resolution } = own;
  const step = resolution / rectangle;
  if (expected.against === 'value')
    // Nobody knows whether the lamp rounds down, up or to the nearest: a step either way.
    return { property, expected, found: value, target: expected.value, standard: 2 * step };
  if (!before)
    return {
      property,
      expected,
      found: 'was not asked for it before in this condition',
      target: expected.value,
      standard: 0,
    };
  const found = value - before.value;
  const steps = Math.SQRT2 * step;
  if (expected.against === 'before')
    return { property, expected, found, target: expected.value, standard: steps };
  const [from, to] = [middle(before), middle(own)];
  const instants = Math.hypot(before.to - before.from, own.to - own.from) / rectangle;
  const target = expected.against === 'elapsed' ? to - from : light.litBetween(from, to);
  return { property, expected, found, target, standard: Math.hypot(steps, instants) };
}

function middle({ from, to }: SelfReport): number {
  return (from + to) / 2;
}
