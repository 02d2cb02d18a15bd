import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { signalNames } from '../../harness/measure/signals.ts';
import { verbNames } from '../../harness/plan/verbs/verbs.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { shippedLamp } from './shipped-lamp.ts';

const folder = join(import.meta.dirname, 'golden', 'broken');

/** Every broken spec and all that is said about it: `line:column path: message`. */
const expected: Readonly<Record<string, readonly string[]>> = {
  'a-list.spec.yaml': ['1:1 expected a mapping, found a list'],
  'a-text.spec.yaml': ['1:1 expected a mapping, found the text "spec"'],
  'alias-without-anchor.spec.yaml': ['8:11 the alias *pause has no anchor &pause before it'],
  'bad-condition-value.spec.yaml': [
    '10:31 stimulus[4].fade.over: expected a time such as 20 ms, but V is a unit of voltage (with fade-time = 2 V)',
    '16:56 criteria[0].target: expected a time such as 20 ms, but V is a unit of voltage (with fade-time = 2 V)',
  ],
  'bad-id.spec.yaml': [
    '1:7 spec: expected a name of lower-case letters, digits and single hyphens, found the text "Fades On Time"',
  ],
  'bad-tag.spec.yaml': [
    '2:8 tags[0]: expected a name of lower-case letters, digits and single hyphens, found the text "Commit"',
  ],
  'between-one-figure.spec.yaml': [
    '14:57 criteria[0].between: expected at least 2 entries, found 1',
  ],
  'between-upside-down.spec.yaml': [
    '14:57 criteria[0].between: expected the lower figure first, found 2 s and 1 s',
  ],
  'capture-rate-zero.spec.yaml': ['14:28 capture[1].rate: expected more than 0 Hz, found 0 Hz'],
  'capture-stray-key.spec.yaml': [
    '14:36 capture[1].exposure: exposure does not go with light; it takes rate',
  ],
  'capture-unknown-channel.spec.yaml': [
    '13:36 capture[0].of: channel-current cannot be recorded of "wram"; did you mean "warm"?',
  ],
  'capture-unknown-mark.spec.yaml': [
    '14:44 capture[1].during: no mark "fadnig" in the stimulus, where "- mark: fadnig" makes one; did you mean "fading"?',
  ],
  'capture-without-rate.spec.yaml': [
    '14:5 capture[1]: a capture of light needs rate; add "rate: …"',
  ],
  'carry-no-stream.spec.yaml': [
    '8:20 stimulus[2].carry.link: console has no signal that can be stopped; use one of dali, dmx, sacn',
  ],
  'channel-twice.spec.yaml': [
    '7:45 stimulus[0].set.mix.$channel: warm is in the mix twice (with channel = warm)',
  ],
  'comma-decimal.spec.yaml': [
    '8:11 stimulus[2].hold: expected a time such as 20 ms, but "0,3 s" has a decimal comma; write a decimal point',
  ],
  'comma-in-flow.spec.yaml': [
    '6:22 stimulus[0].set.5 %: found "5 %" where a key belongs; if you meant a decimal comma, write a decimal point',
  ],
  'conditions-empty-list.spec.yaml': [
    '4:14 conditions.fade-time: expected at least 1 entry, found none',
  ],
  'conditions-not-list.spec.yaml': [
    '4:14 conditions.fade-time: expected "each-channel" or "each-mix" or "each-link" or a list, found the text "2 s"',
  ],
  'conditions-too-many.spec.yaml': [
    '3:1 conditions: the conditions give more than 500 combinations; split the claim',
  ],
  'conditions-unused.spec.yaml': [
    '4:3 conditions.supply: $supply is not used; use it or remove it',
  ],
  'control-character.spec.yaml': [
    '2:44 expected text, found the control character U+0007; is this a binary file?',
  ],
  'crlf-and-bom.spec.yaml': ['8:5 stimulus[2].hodl: unknown key "hodl"; did you mean "hold"?'],
  'custom-tag.spec.yaml': [
    '8:11 expected plain values, found a YAML tag (Unresolved tag: tag:yaml.org,2002:js/function)',
  ],
  'derived-unknown.spec.yaml': [
    '14:56 criteria[0].target: the lamp file has no figure "stage.riple"; known: stage.off-time',
  ],
  'duplicate-key.spec.yaml': ['2:1 the key "spec" appears twice; keep one'],
  'duplicate-step-key.spec.yaml': ['6:26 the key "level" appears twice; keep one'],
  'during-unknown.spec.yaml': [
    '16:56 criteria[0].during: no mark "fadign" in the stimulus, where "- mark: fadign" makes one; did you mean "fading"?',
  ],
  'during-without-time.spec.yaml': [
    '15:56 criteria[0].during: no time passes between the mark "full" and the next; add a hold or a fade',
  ],
  'empty-claim.spec.yaml': ['2:8 claim: expected at least 1 character, found the text ""'],
  'empty-hold.spec.yaml': ['8:5 stimulus[2].hold: expected a figure with its unit, found nothing'],
  'empty.spec.yaml': ['1:1 expected a mapping, found an empty file'],
  'fade-without-time.spec.yaml': [
    '8:11 stimulus[4].fade.over: expected a figure with its unit, but "over" is missing; add it',
  ],
  'id-is-number.spec.yaml': ['1:7 spec: expected text, found the number 12'],
  'infinite-text.spec.yaml': [
    '8:11 stimulus[2].hold: expected a time such as 20 ms, but "Infinity s" is not a finite number',
  ],
  'infinite-time.spec.yaml': [
    '8:11 stimulus[2].hold: expected a figure with its unit, found Infinity',
  ],
  'latin-1.spec.yaml': ['2:46 expected UTF-8 text, found other bytes; save the file as UTF-8'],
  'level-over.spec.yaml': ['6:19 stimulus[0].set.level: expected at most 100 %, found 120 %'],
  'level-without-unit.spec.yaml': [
    '6:19 stimulus[0].set.level: expected a ratio such as 50 %, found 100 without a unit; write 100 %',
  ],
  'limit-wrong-unit.spec.yaml': [
    '14:57 criteria[0].at-most: expected a time such as 20 ms, but % is a unit of ratio',
  ],
  'list-as-key.spec.yaml': [
    '3:3 expected plain text as a key, found a list, a mapping or an alias',
  ],
  'many-channels.spec.yaml': [
    '6:33 stimulus[0].set.mix.violet: lamp alcove-6 has no channel "violet"; it has: warm, cool, red, lime, cyan, indigo, each-channel',
  ],
  'mark-twice.spec.yaml': ['5:1 stimulus: the mark "full" is set twice; give each its own name'],
  'metric-missing.spec.yaml': [
    '16:5 criteria[0].metric: expected text, but "metric" is missing; add it',
  ],
  'missing-claim.spec.yaml': ['1:1 claim: expected text, but "claim" is missing; add it'],
  'nan-time.spec.yaml': ['8:11 stimulus[2].hold: expected a figure with its unit, found NaN'],
  'needs-channels-text.spec.yaml': [
    '2:20 needs.channels: expected a number, found the text "three"',
  ],
  'needs-unknown-link.spec.yaml': [
    '2:18 needs.links[0]: expected one of console, dali, dmx, sacn, found the text "dail"; did you mean "dali"?',
  ],
  'negative-time.spec.yaml': ['8:11 stimulus[2].hold: expected at least 0 s, found -300 ms'],
  'nested.spec.yaml': [
    '1:45 nested more than 40 levels deep; a spec, lamp or rig file needs fewer than ten',
  ],
  'no-criteria.spec.yaml': ['1:1 nothing judges the claim; add criteria, or a send with "expect"'],
  'no-number.spec.yaml': [
    '8:11 stimulus[2].hold: expected a time such as 20 ms, but no number in "a while"',
  ],
  'no-reference.spec.yaml': [
    '16:5 criteria[0]: level-ratio compares with a second window; add "reference: MARK"',
  ],
  'no-time-passes.spec.yaml': [
    '3:1 stimulus: no time passes, so nothing can be captured; add a hold',
  ],
  'no-tolerance.spec.yaml': [
    '14:5 criteria[0]: expected a tolerance (at-most, at-least, between, or target with tolerance), found none',
    '14:48 criteria[0].at-mots: unknown key "at-mots"; did you mean "at-most"?',
  ],
  'no-unit.spec.yaml': [
    '8:11 stimulus[2].hold: expected a time such as 20 ms, found 300 without a unit; write 300 ms',
  ],
  'no-verb.spec.yaml': [
    `8:5 stimulus[2]: expected one verb in a step (${verbNames.join(', ')}), found none`,
  ],
  'noise-too-much.spec.yaml': [
    '8:36 stimulus[2].noise.bytes: expected a whole number from 1 to 1000, found 2000',
  ],
  'not-captured.spec.yaml': [
    '16:5 criteria[0]: uv-shift reads colour, which is not captured; add "- { signal: colour, … }" to capture',
  ],
  'not-substituted.spec.yaml': [
    '10:31 stimulus[4].fade.over: $fade-tiem is not a condition of this spec; did you mean "fade-time"?',
  ],
  'of-one-of-all.spec.yaml': [
    '16:35 criteria[0].of: arrival-spread looks at all channels at once; leave "of" out',
  ],
  'of-unknown-channel.spec.yaml': [
    '16:34 criteria[0].of: lamp alcove-6 has no channel "purple"; expected one of each-channel, light, lamp, warm, cool, red, lime, cyan, indigo',
  ],
  'only-comment.spec.yaml': ['1:1 expected a mapping, found an empty file'],
  'random-zero.spec.yaml': [
    '8:25 stimulus[2].random.commands: expected a whole number from 1 to 100000, found 0',
  ],
  'rate-too-low.spec.yaml': [
    '16:5 criteria[0]: modulation needs at least 10 kHz, but the fastest capture of light has 500 Hz; raise its rate',
  ],
  'repeat-endless.spec.yaml': [
    '5:1 stimulus: expected at most 200000 steps with all repeats, found 10000000005',
  ],
  'repeat-zero.spec.yaml': ['2:9 repeat: expected at least 1, found the number 0'],
  'send-bad-byte.spec.yaml': [
    '8:33 stimulus[2].send.value: expected a whole number from 0 to 255, found 256',
  ],
  'send-line-end.spec.yaml': [
    '8:22 stimulus[2].send.console: expected one line, found a line end in it',
  ],
  'send-no-value.spec.yaml': ['8:19 stimulus[2].send.dali: dtr0 needs a value; add "value: …"'],
  'send-none.spec.yaml': [
    '8:11 stimulus[2].send: expected exactly one of console, dali, dmx, sacn in a send, found none',
  ],
  'send-slot-range.spec.yaml': [
    '8:22 stimulus[2].send.dmx[1]: expected a whole number from 0 to 255, found 300',
  ],
  'send-stray-key.spec.yaml': [
    '8:27 stimulus[2].send.priority: priority does not go with dmx; it takes start-code, frame',
  ],
  'send-two.spec.yaml': [
    '8:11 stimulus[2].send: expected exactly one of console, dali, dmx, sacn in a send, found console and dali',
  ],
  'send-unknown-dali.spec.yaml': [
    '8:19 stimulus[2].send.dali: expected two or three bytes in hex (ff 05) or a command by name, found "query-actual-lvel"; did you mean "query-actual-level"?',
  ],
  'set-nothing.spec.yaml': ['6:10 stimulus[0].set: expected a level, a mix or both, found neither'],
  'several-at-once.spec.yaml': [
    '3:1 tag: unknown key "tag"; did you mean "tags"?',
    '7:19 stimulus[0].set.level: expected at most 100 %, found 120 %',
    '9:11 stimulus[2].hold: expected a time such as 20 ms, found 300 without a unit; write 300 ms',
    '17:15 criteria[0].metric: "fade-duraton" is not a metric; did you mean "fade-duration"?',
  ],
  'signal-of-metric.spec.yaml': [
    '16:38 criteria[0].signal: fade-duration reads channel-current or light, not busy',
  ],
  'step-is-text.spec.yaml': ['8:5 stimulus[2]: expected a mapping, found the text "hold"'],
  'stimulus-empty.spec.yaml': ['5:11 stimulus: expected at least 1 entry, found none'],
  'stimulus-missing.spec.yaml': [
    '1:1 stimulus: expected a list, but "stimulus" is missing; add it',
  ],
  'supply-nothing.spec.yaml': [
    '8:13 stimulus[2].supply: expected volts, output or both, found neither',
  ],
  'tab.spec.yaml': ['4:1 expected spaces, found a tab; YAML is indented with spaces only'],
  'target-alone.spec.yaml': [
    '16:5 criteria[0]: target and tolerance belong together, but "tolerance" is missing; add it',
  ],
  'tolerance-no-room.spec.yaml': [
    '16:79 criteria[0].tolerance: ± 0 % of 0.7 s leaves no room',
    '16:79 criteria[0].tolerance: ± 0 % of 2 s leaves no room',
  ],
  'tolerance-without-sign.spec.yaml': [
    '16:79 criteria[0].tolerance: expected a half-width such as ± 5 % or ± 1 s, but no ± in front of "5 %"',
  ],
  'tolerance-wrong-unit.spec.yaml': [
    '16:79 criteria[0].tolerance: expected a half-width such as ± 5 % or ± 1 s for fade-duration, found ± 5 V',
  ],
  'too-long.spec.yaml': ['8:11 stimulus[2].hold: expected at most 60 d, found 61 d'],
  'traces-not-list.spec.yaml': ['2:9 traces: expected a list, found the text "LUM-041"'],
  'two-documents.spec.yaml': [
    '17:1 expected one document, found a second one; give each its own file',
  ],
  'two-tolerances.spec.yaml': [
    '16:5 criteria[0]: expected a tolerance (at-most, at-least, between, or target with tolerance), found more than one of them',
  ],
  'two-verbs.spec.yaml': [
    `7:5 stimulus[1]: expected one verb in a step (${verbNames.join(', ')}), found hold and mark; begin a new step with "- "`,
  ],
  'unclosed.spec.yaml': ['7:3 a bracket opened above is still open; close it, or indent this line'],
  'unknown-channel.spec.yaml': [
    '6:45 stimulus[0].set.mix.idnigo: lamp alcove-6 has no channel "idnigo"; did you mean "indigo"?',
  ],
  'unknown-key-far.spec.yaml': [
    '2:1 colour: unknown key "colour"; known: spec, claim, traces, tags, needs, repeat, conditions, ambient, stimulus, capture, criteria',
  ],
  'unknown-key.spec.yaml': ['2:1 claims: unknown key "claims"; did you mean "claim"?'],
  'unknown-link.spec.yaml': [
    '10:49 stimulus[4].fade.link: lamp alcove-6 has no link "dail"; did you mean "dali"?',
  ],
  'unknown-metric.spec.yaml': [
    '16:15 criteria[0].metric: "fade-duraton" is not a metric; did you mean "fade-duration"?',
  ],
  'unknown-mix.spec.yaml': [
    '6:31 stimulus[0].set.mix: lamp alcove-6 has no mix "neutrall"; did you mean "neutral"?',
  ],
  'unknown-parameter.spec.yaml': [
    '16:7 criteria[0].smoothness: unknown key "smoothness"; known: metric, of, signal, during, reference, at-most, at-least, between, target, tolerance',
  ],
  'unknown-signal.spec.yaml': [
    `14:15 capture[1].signal: expected one of ${[...signalNames, 'probe'].join(', ')}, found the text "lihgt"; did you mean "light"?`,
  ],
  'unknown-unit.spec.yaml': [
    '8:11 stimulus[2].hold: expected a time such as 20 ms, but the unit "msec" is not known',
  ],
  'unknown-verb.spec.yaml': ['8:5 stimulus[2].hodl: unknown key "hodl"; did you mean "hold"?'],
  'wrong-unit.spec.yaml': [
    '8:11 stimulus[2].hold: expected a time such as 20 ms, but mV is a unit of voltage',
  ],
};

describe('a broken spec', () => {
  const lamp = shippedLamp('alcove-6');

  it('is in the table, each of them', () => {
    expect(readdirSync(folder).sort()).toEqual(Object.keys(expected).sort());
  });

  for (const [file, issues] of Object.entries(expected)) {
    it(`is told exactly what and where: ${file}`, () => {
      const text = readFileSync(join(folder, file), 'utf8');
      const read = readSpec(text, { file, folder: 'broken', digest: '0', lamp });
      expect('issues' in read ? read.issues.map(told) : 'read without issues').toEqual(issues);
    });
  }
});

function told({
  line,
  column,
  path,
  message,
}: {
  line: number;
  column: number;
  path: string;
  message: string;
}): string {
  return `${line}:${column} ${path === '' ? '' : `${path}: `}${message}`;
}
