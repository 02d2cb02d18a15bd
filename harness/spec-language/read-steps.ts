import { didYouMean } from '../files/did-you-mean.ts';
import type { Mix, Step } from '../plan/plan.ts';
import type { ConditionReader, Path } from './condition-reader.ts';
import { readSend } from './read-send.ts';
import { type MixShape, type Raw, type StepShape, verbs } from './spec-schema.ts';

/** A fade or hold of more than a day is a wrong unit. */
export const longestTime = 86_400;

const verbNames = Object.keys(verbs);

/** The steps of a stimulus for one point of the matrix; steps with issues are left out. */
export function readSteps(
  shapes: readonly (StepShape | null)[],
  path: Path,
  reader: ConditionReader,
): Step[] {
  return shapes.flatMap((shape, index) => {
    const step = shape && readStep(shape, [...path, index], reader);
    return step ? [step] : [];
  });
}

function readStep(shape: StepShape, path: Path, reader: ConditionReader): Step | null {
  const found = Object.keys(shape);
  const [verb] = found;
  if (verb === undefined || found.length > 1) {
    const what = found.length === 0 ? 'none' : found.join(' and ');
    const hint = found.length > 1 ? '; begin a new step with "- "' : '';
    reader.report(
      path,
      `expected one verb in a step (${verbNames.join(', ')}), found ${what}${hint}`,
    );
    return null;
  }
  const at = [...path, verb];
  if (shape.set) return readSet(shape.set, at, reader);
  if (shape.fade) return readFade(shape.fade, at, reader);
  if (shape.hold !== undefined)
    return { verb: 'hold', time: reader.figure(shape.hold, at, 'time', times) };
  if (shape.send) return readSend(shape.send, at, reader);
  if (shape.carry) {
    const link = readLink(shape.carry.link, [...at, 'link'], reader);
    return { verb: 'carry', link, on: shape.carry.on };
  }
  if (shape.noise) {
    const link = readLink(shape.noise.link, [...at, 'link'], reader);
    return {
      verb: 'noise',
      link,
      bytes: reader.whole(shape.noise.bytes, [...at, 'bytes'], 1, 1000),
    };
  }
  if (shape.supply) return readSupply(shape.supply, at, reader);
  if (shape.mark !== undefined) return { verb: 'mark', name: reader.text(shape.mark, at) };
  if (shape.repeat) {
    const times = reader.whole(shape.repeat.times, [...at, 'times'], 1, 100_000);
    return {
      verb: 'repeat',
      times,
      steps: readSteps(shape.repeat.steps, [...at, 'steps'], reader),
    };
  }
  if (shape.random) {
    const commands = reader.whole(shape.random.commands, [...at, 'commands'], 1, 100_000);
    const every = reader.figure(shape.random.every, [...at, 'every'], 'time', {
      above: 0,
      most: longestTime,
    });
    return { verb: 'random', commands, every };
  }
  return { verb: 'reset' };
}

const times = { least: 0, most: longestTime } as const;

function readSet(shape: NonNullable<StepShape['set']>, path: Path, reader: ConditionReader): Step {
  return { verb: 'set', ...readTarget(shape, path, reader) };
}

function readFade(
  shape: NonNullable<StepShape['fade']>,
  path: Path,
  reader: ConditionReader,
): Step {
  return {
    verb: 'fade',
    ...readTarget(shape, path, reader),
    over: reader.figure(shape.over, [...path, 'over'], 'time', times),
    wait: shape.wait ?? true,
  };
}

function readTarget(
  shape: { level?: Raw | undefined; mix?: MixShape | undefined; link?: string | undefined },
  path: Path,
  reader: ConditionReader,
): { level?: number; mix?: Mix; link?: string } {
  if (shape.level === undefined && shape.mix === undefined)
    reader.report(path, 'expected a level, a mix or both, found neither');
  return {
    ...(shape.level !== undefined && {
      level: readLevel(shape.level, [...path, 'level'], reader),
    }),
    ...(shape.mix !== undefined && { mix: readMix(shape.mix, [...path, 'mix'], reader) }),
    ...(shape.link !== undefined && { link: readLink(shape.link, [...path, 'link'], reader) }),
  };
}

function readLevel(written: Raw, path: Path, reader: ConditionReader): number {
  if (reader.text(written, path).trim() === 'bottom') return reader.lamp.curve.bottom;
  return reader.figure(written, path, 'ratio', { least: 0, most: 1 });
}

function readMix(written: MixShape, path: Path, reader: ConditionReader): Mix {
  if (typeof written === 'string') {
    const name = reader.text(written, path);
    checkMix(name, written, path, reader);
    return { name };
  }
  const intensities: Record<string, number> = {};
  const named = new Set<string>();
  const everyone = reader.lamp.channels.map(({ channel }) => channel);
  for (const [key, value] of Object.entries(written)) {
    const at = [...path, key];
    const intensity = reader.figure(value, at, 'ratio', { least: 0, most: 1 });
    const channel = reader.text(key, at, 'key');
    if (channel === 'each-channel') {
      // The channels that are named beside it keep what is written for them, wherever it stands.
      for (const own of everyone) intensities[own] ??= intensity;
      continue;
    }
    checkChannel(channel, key, at, reader);
    if (named.has(channel)) reader.report(at, `${channel} stands in the mix twice`, key, 'key');
    named.add(channel);
    intensities[channel] = intensity;
  }
  return { intensities };
}

function checkMix(name: string, written: string, path: Path, reader: ConditionReader): void {
  const { lamp } = reader;
  const known = [...Object.keys(lamp.mixes), 'all', 'off'];
  if (!reader.lampFits || name.includes('$') || known.includes(name)) return;
  const guess = didYouMean(name, known) || `; it has: ${known.join(', ')}`;
  reader.report(path, `lamp ${lamp.lamp} names no mix "${name}"${guess}`, written);
}

function checkChannel(channel: string, written: string, path: Path, reader: ConditionReader): void {
  const { lamp } = reader;
  const known = [...lamp.channels.map((own) => own.channel), 'each-channel'];
  if (!reader.lampFits || channel.includes('$') || known.includes(channel)) return;
  const guess = didYouMean(channel, known) || `; it has: ${known.join(', ')}`;
  reader.report(path, `lamp ${lamp.lamp} has no channel "${channel}"${guess}`, written, 'key');
}

/** A link of the lamp. */
export function readLink(written: string, path: Path, reader: ConditionReader): string {
  const link = reader.text(written, path);
  const { lamp } = reader;
  const known = Object.keys(lamp.links);
  if (reader.lampFits && !link.includes('$') && !known.includes(link)) {
    const guess = didYouMean(link, known) || `; it has: ${known.join(', ')}`;
    const hint = ['console', 'dali', 'dmx', 'sacn'].includes(link)
      ? `; add "needs: { links: [${link}] }" for a claim about lamps that have it`
      : '';
    reader.report(path, `lamp ${lamp.lamp} has no link "${link}"${hint || guess}`, written);
  }
  return link;
}

function readSupply(
  shape: NonNullable<StepShape['supply']>,
  path: Path,
  reader: ConditionReader,
): Step {
  if (shape.volts === undefined && shape.output === undefined)
    reader.report(path, 'expected volts, output or both, found neither');
  const volts =
    shape.volts === undefined ? undefined : readVolts(shape.volts, [...path, 'volts'], reader);
  return {
    verb: 'supply',
    ...(volts !== undefined && { volts }),
    ...(shape.output !== undefined && { output: shape.output }),
  };
}

function readVolts(written: Raw, path: Path, reader: ConditionReader): number {
  const word = reader.text(written, path).trim();
  const { supply } = reader.lamp;
  if (word === 'low' || word === 'nominal' || word === 'high') return supply[word];
  return reader.figure(written, path, 'voltage', { least: 0, most: 1000 });
}
