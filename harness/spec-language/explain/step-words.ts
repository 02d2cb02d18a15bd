import type { RawMessage } from '../../bench/ports.ts';
import type { Expectation, Mix, Step } from '../../plan/plan.ts';
import { formatNumber, formatQuantity } from '../../units/format-quantity.ts';

/** A step in plain words. */
export function stepWords(step: Step): string {
  switch (step.verb) {
    case 'set':
      return `set ${targetWords(step)}${linkWords(step.link)}`;
    case 'fade': {
      const time = step.over === 0 ? 'at once' : `over ${seconds(step.over)}`;
      const wait = step.wait ? '' : ', and go on without waiting';
      return `fade to ${targetWords(step)} ${time}${linkWords(step.link)}${wait}`;
    }
    case 'hold':
      return `hold for ${seconds(step.time)}`;
    case 'send':
      return `send ${messageWords(step.message)}${step.expect ? `, and expect ${expectationWords(step.expect)}` : ''}`;
    case 'carry':
      return `${step.on ? 'let the signal go on' : 'stop the signal'} on ${step.link}`;
    case 'noise':
      return `put ${step.bytes} random bytes on ${step.link}`;
    case 'supply': {
      const volts = step.volts === undefined ? [] : [`to ${formatQuantity(step.volts, 'voltage')}`];
      const output = step.output === undefined ? [] : [`output ${step.output}`];
      return `set the supply ${[...volts, ...output].join(', ')}`;
    }
    case 'reset':
      return 'restart the firmware';
    case 'mark':
      return `— ${step.name} —`;
    case 'repeat':
      return `${step.times} times: ${step.steps.map(stepWords).join('; ')}`;
    case 'random':
      return `${step.commands} random settings, one every ${seconds(step.every)}`;
  }
}

/** A figure of time for people, not finer than they need it. */
export function seconds(value: number): string {
  return formatQuantity(value, 'time');
}

function targetWords({ level, mix }: { readonly level?: number; readonly mix?: Mix }): string {
  const dim = level === undefined ? [] : [`level ${percent(level)}`];
  return [...dim, ...(mix ? [mixWords(mix)] : [])].join(', ');
}

function mixWords(mix: Mix): string {
  if ('name' in mix) return `mix ${mix.name}`;
  const parts = Object.entries(mix.intensities).map(
    ([channel, own]) => `${channel} ${percent(own)}`,
  );
  return parts.join(', ');
}

function linkWords(link: string | undefined): string {
  return link === undefined ? '' : ` by ${link}`;
}

function messageWords(message: RawMessage): string {
  if (message.link === 'console') return `the line “${message.line}”`;
  if (message.link === 'dali') {
    const bytes = message.frame.map((byte) => byte.toString(16).padStart(2, '0')).join(' ');
    return `the DALI frame ${bytes}${message.twice ? ' twice' : ''}`;
  }
  const slots = message.slots.slice(0, 8).join(' ');
  const more = message.slots.length > 8 ? ` … (${message.slots.length} slots)` : '';
  const flags = [
    message.startCode === 0 ? '' : `start code ${message.startCode}`,
    message.priority === undefined ? '' : `priority ${message.priority}`,
    message.preview ? 'preview' : '',
    message.terminated ? 'stream terminated' : '',
    message.sequence === undefined ? '' : `sequence ${message.sequence}`,
  ].filter(Boolean);
  return `${message.link} slots ${slots}${more}${flags.length > 0 ? ` (${flags.join(', ')})` : ''}`;
}

function expectationWords(expected: Expectation): string {
  if ('silence' in expected) return 'silence';
  return 'text' in expected
    ? `“${expected.text}”`
    : `0x${expected.byte.toString(16).padStart(2, '0')}`;
}

function percent(value: number): string {
  return `${formatNumber(value * 100)} %`;
}
