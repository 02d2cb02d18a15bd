import type { Lamp } from '../../bench/lamp.ts';
import { findMetric } from '../../measure/metrics.ts';
import type { CaptureRequest, Condition, Criterion, Plan } from '../../plan/plan.ts';
import { stimulusTotals } from '../../plan/stimulus-totals.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import { stepWords } from '../../plan/verbs/verbs.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import { timeLine } from './time-line.ts';

/** A spec in plain words: what will be commanded, recorded and judged, with a drawing of one condition. */
export function claimWords(
  plan: Plan,
  condition: Condition,
  lamp: Lamp,
  columns: number,
): string[] {
  const unmet = unmetNeed(plan.needs, lamp);
  const total = plan.conditions.reduce((sum, own) => sum + lampTime(own, lamp), 0) * plan.repeat;
  const times = plan.repeat > 1 ? `, each ${plan.repeat} times` : '';
  return [
    plan.spec,
    plan.claim,
    '',
    ...(plan.traces.length > 0 ? [`Requirements: ${plan.traces.join(', ')}`] : []),
    ...(unmet ? [`Not applicable to ${lamp.lamp}: ${unmet}`] : []),
    `${conditionsWords(plan)}${times}; ${seconds(total)} of lamp time in total.`,
    '',
    ...ambientWords(condition),
    condition.key === '' ? 'What is commanded' : `What is commanded, for ${condition.key}`,
    ...stepLines(condition, lamp),
    '',
    ...timeLine(condition, lamp, columns),
    ...(lampTime(condition, lamp) > 0 ? [scaleWords, ''] : []),
    'What is recorded',
    ...recordedLines(condition),
    '',
    'What is judged',
    ...condition.criteria.flatMap(criterionLines),
    ...(condition.criteria.length === 0 ? ['  the answers of the lamp'] : []),
  ];
}

function ambientWords({ ambient }: Condition): string[] {
  if (!ambient) return [];
  const { celsius, soak } = ambient;
  const before = soak === undefined ? '' : `, for ${seconds(soak)} at least before`;
  return [`The air about the lamp has ${formatQuantity(celsius, 'temperature')}${before}.`, ''];
}

const scaleWords = '(height of a bar: four decades of light, full at the top)';

function conditionsWords({ conditions }: Plan): string {
  const names = Object.keys(conditions[0]?.values ?? {});
  if (names.length === 0) return 'One condition';
  const lists = names.map((name) => {
    const values = [...new Set(conditions.map(({ values: own }) => own[name] ?? ''))];
    return `${name} ${values.join(', ')}`;
  });
  return `${conditions.length} conditions: ${lists.join(' × ')}`;
}

/** s, each repeat counted. */
function lampTime({ stimulus }: Pick<Condition, 'stimulus'>, lamp: Lamp): number {
  return stimulusTotals(stimulus, lamp).seconds;
}

function stepLines({ stimulus }: Condition, lamp: Lamp): string[] {
  let now = 0;
  return stimulus.map((step) => {
    const line = `  ${seconds(now).padStart(9)}  ${stepWords(step)}`;
    now += lampTime({ stimulus: [step] }, lamp);
    return line;
  });
}

function recordedLines({ captures, probes = [] }: Condition): string[] {
  const lines = [
    ...captures.map((capture) => `  ${captureWords(capture)}`),
    ...probes.map((name) => `  probe ${name} of the firmware, whenever it changes`),
  ];
  return lines.length > 0 ? lines : ['  nothing: only answers are judged'];
}

function captureWords(capture: CaptureRequest): string {
  const { signal, of, during } = capture;
  const whose = of === signal ? '' : of === 'each-channel' ? ' of each channel' : ` of ${of}`;
  const when = during === undefined ? 'all the time' : `during ${during}`;
  return `${signal}${whose}, ${figureWords(capture)}, ${when}`;
}

function figureWords(capture: CaptureRequest): string {
  if (capture.signal === 'colour') {
    const { integration, every } = capture;
    const pause = every === undefined ? '' : `, every ${seconds(every)}`;
    return `readings of ${seconds(integration)}${pause}`;
  }
  if (capture.signal === 'frame') {
    const { exposure, frameRate } = capture;
    return `one frame of ${seconds(exposure)}, at ${formatQuantity(frameRate, 'number')} frames a second`;
  }
  return `at ${formatQuantity(capture.rate / 1000, 'number')} kS/s`;
}

function criterionLines(criterion: Criterion): string[] {
  const { metric: id, of, during, reference, limits, parameters, line } = criterion;
  const metric = findMetric(id);
  const whose = of === 'each-channel' ? 'each channel' : of;
  const when = during === undefined ? '' : `, during ${during}`;
  const against = reference === undefined ? '' : `, against ${reference}`;
  const head = `  ${metric?.title ?? id} of ${whose}${when}${against}: ${limits.text}`;
  const written = Object.entries(parameters).map(([name, value]) => {
    const kind = metric?.parameters.find((own) => own.name === name)?.kind;
    const shown =
      typeof value === 'number' && typeof kind === 'string' ? formatQuantity(value, kind) : value;
    return `${name} ${shown}`;
  });
  const detail = [`line ${line}`, `source: ${metric?.source ?? 'unknown'}`, ...written];
  return [head, `      ${detail.join('; ')}`];
}

function seconds(value: number): string {
  return formatQuantity(value, 'time');
}
