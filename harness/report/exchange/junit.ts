import builderModule, { type Builder, type TestCase } from 'junit-report-builder';
import { diagnose } from '../../diagnose/diagnose.ts';
import { plainLine } from '../../files/plain-text.ts';
import { benchBrokenText, benchesAfter } from '../../record/bench-after.ts';
import { conditionWords } from '../../record/condition-words.ts';
import { filedCaptures, unfiledCaptures } from '../../record/evidence-of.ts';
import { isStored } from '../../record/kept-captures.ts';
import { lampTimeOf } from '../../record/measurements.ts';
import { reusedText } from '../../record/reused.ts';
import type {
  CaptureRecord,
  ConditionRecord,
  Finding,
  RunRecord,
  SpecRecord,
} from '../../record/run-record.ts';
import { causeTexts, explanationText } from '../words/diagnosis-words.ts';
import { findingSentence, placeText } from '../words/finding-words.ts';
import { marginText } from '../words/margin-words.ts';
import { capital, counted, repeatText, rigText } from '../words/prose.ts';
import { quarantineText } from '../words/quarantine-words.ts';
import { againSentence, repeatedText, repeatedValues } from '../words/repeated-words.ts';
import { valueText } from '../words/value-text.ts';
import type { Placed } from '../words/worst-first.ts';

// The package is CommonJS and its types say otherwise: the default import is the builder itself.
const builder = builderModule as unknown as Builder;

type Suite = ReturnType<Builder['testSuite']>;
type Element = ReturnType<TestCase['build']>;

/** `strict` validates against junit-10.xsd; `extended` adds the file of the spec and properties to each case. */
export type JunitProfile = 'strict' | 'extended';

/**
 * The run as JUnit XML: a claim is a suite, a finding is a case, a condition that ended without findings is a case of
 * its own. `fail` alone is a failure. `error` and `inconclusive` are errors, told apart by `type`: the bench failed or could not
 * decide, and readers that know only red and green must not show green. `not run` and `not applicable` are skipped with their
 * reason. Times are lamp time, s, so that the same run gives the same file. `warning` is a case of its own, in error: figures
 * that nothing proves must not look like a pass.
 */
export function renderJunit(
  record: RunRecord,
  profile: JunitProfile,
  warning: string | null = null,
): string {
  const root = builder.newBuilder().name('evenfall');
  const names = uniqueNames();
  const common = inCommon(record);
  if (warning !== null) addWarning(root.testSuite(), record, warning);
  for (const spec of record.specs)
    addClaim(root.testSuite(), { record, spec, profile, names, common });
  addBench(root, record);
  if (record.specs.length === 0 || record.ended !== 'complete') addEnding(root.testSuite(), record);
  // The schema knows no `skipped` on the root. The root's only other attributes are counts and our own fixed name.
  return `${root.build().replace(/(<testsuites [^>]*?) skipped="\d+"/, '$1')}\n`;
}

interface Claim {
  readonly record: RunRecord;
  readonly spec: SpecRecord;
  readonly profile: JunitProfile;
  readonly names: (classname: string, name: string) => string;
  readonly common: ReadonlyMap<Finding, string>;
}

/** What each failing finding has in common with others, and the cause that fits best, as lines for its case. */
function inCommon(record: RunRecord): ReadonlyMap<Finding, string> {
  const lines = new Map<Finding, string>();
  const { explanations, causes } = diagnose(record) ?? { explanations: [], causes: [] };
  const likely = causes.slice(0, 1).map((cause) => `likely cause: ${causeTexts(cause).join('. ')}`);
  for (const explanation of explanations) {
    const { findings } = explanation;
    const shared = `in common with ${counted(findings.length, 'finding')}: ${explanationText(explanation)}`;
    const own = findings.length > 1 ? [shared, ...likely] : likely;
    if (own.length > 0) for (const { finding } of findings) lines.set(finding, own.join('; '));
  }
  return lines;
}

function addClaim(suite: Suite, claim: Claim): void {
  const { record, spec } = claim;
  describe(suite, record, `${spec.folder}/${spec.spec}`, spec.conditions[0]?.startedAt);
  const time = spec.conditions.reduce((sum, condition) => sum + lampTimeOf(condition), 0);
  suite.time(seconds(time));
  suite.property('claim', plainLine(spec.claim));
  const reused = reusedText({ specs: [spec] });
  if (reused !== null) suite.property('reused', reused);
  suite.property('requirements', plainLine(spec.traces.join(' ')));
  suite.property('tags', plainLine(spec.tags.join(' ')));
  suite.property('spec sha256', spec.digest);
  if (spec.conditions.length === 0) {
    const unrun = addCase(suite, claim, 'claim', 0);
    settle(unrun, spec, spec.verdict, ['claim', spec.reason ?? 'The claim was not run.']);
  }
  for (const condition of spec.conditions) addCondition(suite, claim, condition);
}

function addCondition(suite: Suite, claim: Claim, condition: ConditionRecord): void {
  const { findings, verdict, reason } = condition;
  const duration = lampTimeOf(condition);
  const worst = findings.some((finding) => finding.verdict === verdict);
  if (!worst && (findings.length === 0 || verdict === 'error')) {
    const name = ['condition', conditionWords(condition.key), repeatText(condition.repeat)]
      .filter(Boolean)
      .join(', ');
    const unmeasured = addCase(suite, claim, name, findings.length === 0 ? duration : 0);
    settle(unmeasured, claim.spec, verdict, [
      'condition',
      reason ?? 'The condition produced no findings.',
    ]);
  }
  for (const finding of findings) {
    const placed: Placed = { condition, finding };
    const added = addCase(
      suite,
      claim,
      `${finding.metric} of ${placeText(placed)}`,
      duration / findings.length,
    );
    const sentence = findingSentence(placed);
    settle(added, claim.spec, finding.verdict, [finding.metric, sentence]);
    added.standardOutput(inCdata(caseOutput(claim, placed)));
  }
}

function caseOutput({ spec, common }: Claim, placed: Placed): string {
  const { condition, finding } = placed;
  const shared = common.get(finding);
  const lines = [
    spec.claim,
    `${finding.title} of ${placeText(placed)}`,
    `value: ${valueText(finding)}`,
    ...repeatedLines(finding),
    `allowed: ${finding.limits.text} (${finding.rule} decision rule)`,
    ...[marginText(finding)].filter((text) => text !== null).map((text) => `margin: ${text}`),
    `source: ${finding.source}`,
    ...(shared === undefined ? [] : [shared]),
    ...filedCaptures(condition, finding).map(captureLine),
    ...unfiledCaptures(condition, finding).map((id) => `capture: ${id}, readings in run.json`),
  ];
  return lines.map((line) => `${plainLine(line)}\n`).join('');
}

function repeatedLines(finding: Finding): string[] {
  const how = repeatedText(finding);
  return how === null ? [] : [`measured: ${how}: ${repeatedValues(finding)}`];
}

function captureLine(capture: CaptureRecord): string {
  const { file } = capture;
  return isStored(capture) ? `capture: captures/${file}` : `capture: ${file}, not kept`;
}

/** A case that did not pass fails nobody's gate while its claim is in quarantine. */
function settle(
  test: TestCase,
  spec: SpecRecord,
  verdict: SpecRecord['verdict'],
  [type, text]: readonly [type: string, text: string],
): void {
  const message = plainLine(text);
  const held = quarantineText(spec);
  if (verdict === 'pass') return;
  if (held !== null && verdict !== 'not applicable' && verdict !== 'not run')
    skip(test, plainLine(`${held} ${verdict}: ${text}`));
  else if (verdict === 'error') test.error(message, 'bench', inCdata(message));
  else if (verdict === 'inconclusive') test.error(message, verdict, inCdata(message));
  else if (verdict === 'not run') skip(test, message);
  else if (verdict === 'not applicable') skip(test, `Not applicable: ${message}`);
  // Some readers show the attribute and some the text, so the sentence stands in both.
  else test.failure(message, type).stacktrace(inCdata(message));
}

/** The builder splits only the first end of a CDATA section in a text; a second one would end it. */
function inCdata(text: string): string {
  return text.replaceAll(']]>', ']] >');
}

/** The builder's `skipped()` takes no reason; a skip without one is worth nothing. */
function skip(test: TestCase, message: string): void {
  test.skipped();
  decorate(test, (element) => {
    const skipped = element.children.find((child) => 'name' in child && child.name === 'skipped');
    (skipped as Element | undefined)?.att('message', message);
  });
}

function addCase(suite: Suite, claim: Claim, name: string, time: number): TestCase {
  const { spec, profile, names } = claim;
  const classname = plainLine(`${spec.folder}.${spec.spec}`);
  const test = suite.testCase().className(classname).time(seconds(time));
  test.name(names(classname, plainLine(name)));
  if (profile === 'extended') {
    test.file(plainLine(spec.file));
    for (const requirement of spec.traces) test.property('requirement', plainLine(requirement));
  }
  return test;
}

function addEnding(suite: Suite, record: RunRecord): void {
  describe(suite, record, 'run', record.startedAt);
  suite.time(0);
  const test = suite.testCase().className('run').name('the run completes').time(0);
  const message = `The run ended ${record.ended} with ${counted(record.specs.length, 'claim')} recorded; the rest were not judged.`;
  test.error(message, 'bench', inCdata(message));
}

/** A case of its own: readers of cases alone must not take what nothing proves for a pass. */
function addBench(root: Builder, record: RunRecord): void {
  if (benchesAfter(record).length === 0) return;
  const suite = root.testSuite();
  describe(suite, record, 'bench', record.endedAt ?? record.startedAt);
  suite.time(0);
  const test = suite.testCase().className('bench').time(0);
  test.name('the bench is good after the last claim');
  const broken = benchBrokenText(record);
  if (broken !== null) {
    const message = plainLine(`${capital(broken)}.`);
    test.error(message, 'bench', inCdata(message));
    return;
  }
  const unmade = benchesAfter(record).filter(({ after }) => after.state === 'not checked');
  if (unmade.length === 0) return;
  const whys = unmade.map(({ rig, after }) => `${rig}: ${after.why}`);
  skip(test, plainLine(`The bench was not checked after the last claim: ${whys.join('; ')}`));
}

function addWarning(suite: Suite, record: RunRecord, warning: string): void {
  describe(suite, record, 'seal', record.startedAt);
  suite.time(0);
  const test = suite.testCase().className('seal').name('the run is as it was sealed').time(0);
  const message = plainLine(`The run is ${warning}.`);
  test.error(message, 'seal', inCdata(message));
}

function describe(suite: Suite, record: RunRecord, name: string, startedAt?: string): void {
  const { lamp, rig, seed } = record;
  suite.name(plainLine(name));
  // Readers take a time without a zone for UTC, and some refuse one with it.
  suite.timestamp((startedAt ?? record.startedAt).slice(0, 19));
  suite.property('run', record.id);
  suite.property('lamp', plainLine(`${lamp.name}, build ${lamp.build}, serial ${lamp.serial}`));
  suite.property('rig', plainLine(rigText(rig)));
  suite.property('seed', String(seed));
  const again = againSentence(record);
  if (again !== null) suite.property('measured again', again);
  decorate(suite, (element) => void element.att('hostname', plainLine(rig.name)));
}

function decorate(node: Suite | TestCase, finish: (element: Element) => void): void {
  const build = node.build.bind(node) as (parent: Element) => Element;
  node.build = (parent?: Element): Element => {
    const element = build(parent as Element);
    finish(element);
    return element;
  };
}

/** The schema admits at most three decimals and no exponent. */
function seconds(time: number): number {
  return Number.isFinite(time) && time > 0 ? Math.round(time * 1000) / 1000 : 0;
}

/** Readers keep only the first of two cases with one class and name. */
function uniqueNames(): (classname: string, name: string) => string {
  const seen = new Map<string, number>();
  return (classname, name) => {
    const key = `${classname}\n${name}`;
    const count = (seen.get(key) ?? 0) + 1;
    seen.set(key, count);
    if (count === 1) return name;
    const next = `${name} (${count})`;
    return seen.has(`${classname}\n${next}`) ? `${next} again` : next;
  };
}
