import type {
  CaptureRecord,
  ConditionRecord,
  Finding,
  RunRecord,
  SpecRecord,
} from '../../harness/record/run-record.ts';
import type { Trace } from '../../harness/report/trace.ts';
import { traceOf } from '../../harness/report/trace.ts';
import { rollUp, type Verdict } from '../../harness/verdict/verdict.ts';
import * as charts from './sample-charts.ts';

/**
 * A run of the invented lamp Alcove-6 as the engine would record it: every verdict, every kind of chart, fixed in time.
 * The figures are made up for drawing; no report test reads physics from them.
 */
export function sampleRecord(): RunRecord {
  captureCount = 0;
  return recordOf(sampleSpecs());
}

/** Five claims of the same run, one of each ending: short enough for golden files. */
export function shortRecord(): RunRecord {
  const wanted = [
    'no-overshoot',
    'crossfade-arrives-together',
    'dimming-keeps-the-colour',
    'named-whites-hit-their-point',
    'off-time-is-fixed',
  ];
  const specs = sampleRecord().specs.filter((one) => wanted.includes(one.spec));
  for (const one of specs) one.conditions = one.conditions.slice(-1);
  return recordOf(specs);
}

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

export function recordOf(specs: SpecRecord[]): RunRecord {
  const findings = specs.flatMap((spec) => spec.conditions.flatMap((c) => c.findings));
  return {
    format: 'evenfall-run',
    version: 1,
    id: '20261124T180312Z-alcove-6-2.4.0-rc3-7qk2',
    ended: 'complete',
    startedAt: '2026-11-24T18:03:12.250Z',
    endedAt: '2026-11-24T18:03:31.900Z',
    harness: { version: '0.1.0', node: '20.20.2', commit: '4f0c1d2e9a7b' },
    lamp: {
      name: 'Alcove-6',
      maker: 'Halden Display Lighting',
      build: '2.4.0-rc3',
      serial: 'A6-00017',
      channels: channels.map((channel, k) => ({ channel, xy: xys[k] ?? [0.33, 0.33] })),
      file: 'specs/lamps/alcove-6.lamp.yaml',
      digest: sha('1'),
      firmware: { kind: 'reference', name: 'reference firmware', digest: sha('2') },
    },
    rig: {
      name: 'simulated bench',
      place: 'Halden Display Lighting, optics laboratory, bench 2',
      file: 'specs/rigs/simulated.rig.yaml',
      digest: sha('3'),
      simulated: true,
      ambient: 24.5,
      instruments: [
        instrument('digitiser', 'plant', '2026-03-02', '2027-03-02', 'HDL-D-118', 'valid'),
        instrument('photodiode', 'plant', '2025-12-10', '2026-12-10', 'HDL-P-042', 'due soon'),
        instrument('colour sensor', 'plant', '2025-10-01', '2026-10-01', 'HDL-C-007', 'overdue'),
        { ...instrument('supply', 'plant', '', '', '', 'valid'), calibration: null },
      ],
      notes: { 'photodiode distance': '0.50 m', 'background light': 0.02 },
    },
    seed: 41,
    faults: [],
    decision: { rule: 'guarded', coverageFactor: 2 },
    selection: { tags: ['nightly'], paths: ['specs'] },
    verdict: rollUp(specs.map((spec) => spec.verdict)),
    totals: {
      claims: tally(specs.map((spec) => spec.verdict)),
      findings: tally(findings.map((finding) => finding.verdict)),
      lampTime: 1482.5,
      wallTime: 19.65,
    },
    safeState: {
      confirmed: true,
      at: '2026-11-24T18:03:31.700Z',
      detail: 'lamp off and supply off, both read back',
    },
    deviations: [
      {
        kind: 'simulated instruments',
        text: 'digitiser, photodiode, colour sensor and supply are simulated (plant, seed 41).',
      },
      {
        kind: 'retry',
        text: 'flicker/no-bands-on-a-camera, shutter=1/500 s: measured again after the digitiser did not answer in 2 s.',
      },
    ],
    follows: [],
    specs,
  };
}

export const channels = ['warm', 'cool', 'red', 'lime', 'cyan', 'indigo'] as const;
const xys: [number, number][] = [
  [0.46, 0.41],
  [0.31, 0.33],
  [0.69, 0.3],
  [0.41, 0.54],
  [0.08, 0.4],
  [0.16, 0.02],
];

const fadeTimes = ['0.7 s', '2 s', '8 s'];

function sampleSpecs(): SpecRecord[] {
  return [
    ...dimmingSpecs(),
    ...fadingSpecs(),
    ...colourSpecs(),
    ...flickerSpecs(),
    ...currentSpecs(),
    ...controlSpecs(),
    ...robustnessSpecs(),
  ];
}

function dimmingSpecs(): SpecRecord[] {
  const curve = spec(
    'dimming',
    'levels-follow-the-curve',
    'Every dim level gives the light that the logarithmic dimming curve promises.',
    ['100 %', '10 %', '1 %', '0.1 %'].map((level, k) =>
      condition(
        { level },
        channels.map((of, c) =>
          finding({
            metric: 'level-error',
            title: 'level error against the curve',
            of,
            shown: '%',
            unit: '1',
            value: (noise(k * 7 + c) - 0.5) * 0.03 * (k + 1),
            expanded: 0.006 * (k + 1),
            lower: -0.1,
            upper: 0.1,
            target: 0,
            text: '0 % ± 10 %',
            charts: k === 3 ? [charts.dimmingCurve()] : [],
          }),
        ),
        { signal: 'channel-current', unit: 'A' },
      ),
    ),
    ['LUM-010', 'LUM-011'],
  );
  const bottom = spec(
    'dimming',
    'bottom-level-holds-still',
    'Each channel holds 0.1 % for a minute without a change that an eye could see.',
    [
      condition(
        {},
        channels.flatMap((of, c) => [
          finding({
            metric: 'level-ratio',
            title: 'level ratio to full',
            of,
            unit: '1',
            shown: '%',
            value: 0.001 + (noise(c) - 0.5) * 0.00006,
            expanded: 0.000021,
            lower: 0.0009,
            upper: 0.0011,
            target: 0.001,
            text: '0.1 % ± 10 %',
          }),
          finding({
            metric: 'dropouts',
            title: 'dropouts',
            of,
            unit: '1',
            shown: '1',
            value: 0,
            expanded: 0,
            upper: 0,
            text: 'at most 0',
          }),
        ]),
        { signal: 'channel-current', unit: 'A' },
      ),
    ],
    ['LUM-012'],
  );
  return [
    curve,
    bottom,
    simple(
      'dimming',
      'no-step-back',
      'Light never falls while the level is raised.',
      'monotonicity',
      'largest step back',
      0.0002,
      0.001,
    ),
    simple(
      'dimming',
      'lowest-level-is-deep',
      'The lowest stable level is 0.1 % or deeper.',
      'lowest-level',
      'lowest stable level',
      0.00092,
      0.001,
    ),
    simple(
      'dimming',
      'level-noise-is-hidden',
      'At every level the light keeps still to 1 %.',
      'level-noise',
      'level noise',
      0.0041,
      0.01,
    ),
    simple(
      'dimming',
      'warm-up-drift',
      'Within ten minutes of full light no channel drifts by more than 3 %.',
      'drift',
      'drift',
      0.0187,
      0.03,
    ),
    simple(
      'dimming',
      'all-off-is-dark',
      'Off is dark: less than a hundred-thousandth of full light.',
      'level-ratio',
      'level ratio to full',
      0.0000021,
      0.00001,
    ),
  ];
}

function fadingSpecs(): SpecRecord[] {
  const crossfade = spec(
    'fading',
    'crossfade-arrives-together',
    'In a crossfade every channel reaches its target at the same instant, and on time.',
    fadeTimes.map((fadeTime, k) => crossfadeCondition(fadeTime, k)),
    ['LUM-041', 'LUM-042'],
  );
  return [
    crossfade,
    spec(
      'fading',
      'fade-takes-its-time',
      'A fade from 100 % to 1 % takes the time that was asked for.',
      fadeTimes.map((fadeTime, k) => {
        const asked = Number.parseFloat(fadeTime);
        return condition(
          { 'fade-time': fadeTime },
          channels.map((of, c) =>
            finding({
              metric: 'fade-duration',
              title: 'fade duration',
              of,
              unit: 's',
              shown: asked < 1 ? 'ms' : 's',
              value: asked * (1 + (noise(k * 11 + c) - 0.45) * 0.03),
              expanded: asked * 0.004,
              lower: asked * 0.95,
              upper: asked * 1.05,
              target: asked,
              text: `${fadeTime} ± 5 %`,
              charts: c === 0 ? [charts.fade(asked)] : [],
            }),
          ),
          { signal: 'channel-current', unit: 'A' },
        );
      }),
      ['LUM-040'],
    ),
    simple(
      'fading',
      'no-overshoot',
      'A fade never goes past its target.',
      'fade-overshoot',
      'fade overshoot',
      0.0031,
      0.01,
    ),
    simple(
      'fading',
      'fade-follows-the-curve',
      'A fade is straight in the dimming-curve domain.',
      'curve-deviation',
      'curve deviation',
      0.013,
      0.03,
    ),
    simple(
      'fading',
      'no-visible-step',
      'No step of a slow fade is large enough to be seen.',
      'largest-visible-step',
      'largest visible step',
      0.0068,
      0.01,
    ),
    simple(
      'fading',
      'fade-can-be-turned-back',
      'A fade that is turned back midway starts from the present light.',
      'retarget-jump',
      'jump on turning back',
      0.0012,
      0.01,
    ),
    simple(
      'fading',
      'steps-at-the-bottom',
      'The smallest step of the bottom end stays below 2 %.',
      'step-size',
      'step size at the bottom',
      0.0132,
      0.02,
    ),
  ];
}

function crossfadeCondition(fadeTime: string, k: number): ConditionRecord {
  const spread = [0.0062, 0.0137, 0.0412][k] ?? 0;
  const late = spread > 0.02;
  const asked = Number.parseFloat(fadeTime);
  return condition(
    { 'fade-time': fadeTime },
    [
      finding({
        metric: 'arrival-spread',
        title: 'arrival spread',
        of: 'lamp',
        unit: 's',
        shown: 'ms',
        value: spread,
        expanded: 0.0029,
        upper: 0.02,
        text: 'at most 20 ms',
        verdict: late ? 'fail' : 'pass',
        reason: late ? 'indigo arrives 41 ms after warm; 20 ms are allowed.' : null,
        charts: [charts.arrivals(asked, spread), charts.fade(asked)],
        notes: { first: 'warm', last: late ? 'indigo' : 'cyan', 'fade duration': asked },
      }),
      ...channels.map((of, c) =>
        finding({
          metric: 'fade-duration',
          title: 'fade duration',
          of,
          unit: 's',
          shown: 's',
          value: asked * (1 + (noise(c + k) - 0.4) * 0.02) + (late && of === 'indigo' ? 0.04 : 0),
          expanded: asked * 0.003,
          lower: asked * 0.95,
          upper: asked * 1.05,
          target: asked,
          text: `${fadeTime} ± 5 %`,
          charts: [charts.fade(asked)],
        }),
      ),
    ],
    { signal: 'channel-current', unit: 'A', fade: asked },
  );
}

function colourSpecs(): SpecRecord[] {
  const path = spec(
    'colour',
    'crossfade-keeps-to-its-path',
    'A crossfade from warm to cool goes straight through the colours between them.',
    [
      condition(
        {},
        [
          finding({
            metric: 'path-deviation',
            title: "path deviation in u'v'",
            of: 'light',
            unit: '1',
            shown: '1',
            value: 0.0042,
            expanded: 0.0009,
            upper: 0.006,
            text: 'at most 0.006',
            charts: [charts.colourPath()],
          }),
        ],
        { signal: 'light', unit: 'lx' },
      ),
    ],
    ['LUM-061'],
  );
  const shift = spec(
    'colour',
    'dimming-keeps-the-colour',
    'Dimming from 100 % to 1 % shifts the colour of the mix by less than one step.',
    [
      condition(
        { level: '1 %' },
        [
          finding({
            metric: 'uv-shift',
            title: "u'v' shift",
            of: 'light',
            unit: '1',
            shown: '1',
            value: 0.00104,
            expanded: 0.00022,
            upper: 0.0011,
            text: 'at most 0.0011',
            verdict: 'inconclusive',
            reason:
              'The value ± U reaches over the limit; a colour sensor with U below 0.00006 would decide it.',
          }),
        ],
        { signal: 'light', unit: 'lx' },
      ),
    ],
    ['LUM-060'],
  );
  const overdue = spec(
    'colour',
    'named-whites-hit-their-point',
    'Named whites lie within three SDCM steps of their point.',
    [
      {
        ...condition({ white: '3000 K' }, []),
        verdict: 'error',
        attempts: 2,
        reason:
          'Expected a reading from the colour sensor within 2 s, found none in 2 attempts; look at its cable and its supply.',
      },
    ],
    ['LUM-062'],
  );
  return [
    path,
    shift,
    overdue,
    simple(
      'colour',
      'channel-ratios-hold',
      'While dimming, the ratios between channels drift by less than 2 %.',
      'channel-ratio-drift',
      'channel-ratio drift',
      0.0088,
      0.02,
    ),
    simple(
      'colour',
      'mixing-is-additive',
      'A mix gives the sum of its channels.',
      'mixing-error',
      'mixing error',
      0.0031,
      0.01,
    ),
  ];
}

function flickerSpecs(): SpecRecord[] {
  const bands = spec(
    'flicker',
    'no-bands-on-a-camera',
    'No camera shutter up to 1/1000 s shows bands at 1 % light.',
    ['1/50 s', '1/500 s', '1/1000 s'].map((shutter, k) =>
      condition(
        { shutter },
        [
          finding({
            metric: 'band-contrast',
            title: 'band contrast',
            of: 'light',
            unit: '1',
            shown: '%',
            value: [0.0004, 0.0092, 0.0191][k] ?? 0,
            expanded: 0.004,
            upper: 0.02,
            text: 'at most 2 %',
            verdict: k === 2 ? 'inconclusive' : 'pass',
            reason:
              k === 2
                ? 'The uncertainty (0.4 %) straddles the limit; a quieter photodiode range would decide it.'
                : null,
            charts: [charts.bands(k)],
          }),
        ],
        { signal: 'light', unit: 'lx' },
      ),
    ),
    ['LUM-083'],
  );
  const region = spec(
    'flicker',
    'modulation-stays-below-the-line',
    'At every level the modulation of the light stays in the low-risk region of IEEE 1789-2015.',
    [
      condition(
        { level: '10 %' },
        [
          finding({
            metric: 'ieee-1789-ratio',
            title: 'modulation over its limit (IEEE 1789)',
            of: 'light',
            unit: '1',
            shown: '1',
            value: 2.71,
            expanded: 0.11,
            upper: 1,
            text: 'at most 1',
            verdict: 'fail',
            reason:
              'The component at 200 Hz has 43 % modulation; the low-risk line is at 16 % there.',
            charts: [charts.spectrum()],
            notes: { 'dominant frequency': 200, component: '200 Hz' },
          }),
          finding({
            metric: 'modulation',
            title: 'modulation (percent flicker)',
            of: 'light',
            unit: '1',
            shown: '%',
            value: 0.437,
            expanded: 0.012,
            upper: 0.08,
            text: 'at most 8 %',
            verdict: 'fail',
            reason: 'Found 43.7 %, five times what is allowed.',
          }),
        ],
        { signal: 'light', unit: 'lx', ripple: true },
      ),
    ],
    ['LUM-080'],
  );
  const unmeasured = spec(
    'flicker',
    'stroboscopic-effect-stays-hidden',
    'SVM stays below 0.4 at every level.',
    [
      condition(
        { level: '0.1 %' },
        [
          {
            ...finding({
              metric: 'svm',
              title: 'SVM',
              of: 'light',
              unit: '1',
              shown: '1',
              value: 0,
              expanded: 0,
              upper: 0.4,
              text: 'at most 0.4',
              verdict: 'error',
              reason:
                'Expected a light signal above 0.05 lx, found 0.013 lx (below noise); use the more sensitive photodiode range.',
            }),
            outcome: {
              measured: false,
              reason: 'below-noise',
              found: 0.013,
              needed: 0.05,
              unit: 'lx',
            },
            uncertainty: null,
          },
        ],
        { signal: 'light', unit: 'lx' },
      ),
    ],
    ['LUM-082'],
  );
  return [
    bands,
    region,
    unmeasured,
    simple(
      'flicker',
      'flicker-index-is-low',
      'The flicker index stays below 0.02 from 1 % to 100 %.',
      'flicker-index',
      'flicker index',
      0.0061,
      0.02,
    ),
    simple(
      'flicker',
      'short-term-flicker-is-unseen',
      'PstLM stays below 1 on a clean supply.',
      'pst-lm',
      'PstLM',
      0.21,
      1,
    ),
    simple(
      'flicker',
      'no-beat-between-channels',
      'Channels lit together do not beat.',
      'modulation',
      'modulation (percent flicker)',
      0.0035,
      0.01,
    ),
  ];
}

function currentSpecs(): SpecRecord[] {
  return [
    simple(
      'current',
      'peak-current-is-held',
      'Peak current stays within 5 % of nominal.',
      'peak-current',
      'peak current',
      0.361,
      0.3675,
      'A',
      'mA',
    ),
    simple(
      'current',
      'ripple-is-small',
      'Ripple stays below a tenth of the mean.',
      'ripple',
      'ripple',
      0.061,
      0.1,
    ),
    simple(
      'current',
      'edges-are-quick',
      'Current rises in less than 2 µs.',
      'rise-time',
      'rise time',
      0.00000082,
      0.000002,
      's',
      'µs',
    ),
    simple(
      'current',
      'supply-does-not-show',
      'A supply from 44 V to 52 V changes the light by less than 0.5 %.',
      'regulation',
      'regulation',
      0.0017,
      0.005,
    ),
    {
      ...spec(
        'current',
        'off-time-is-fixed',
        'The off-time of the output stage stays within 10 %.',
        [],
        ['LUM-090'],
      ),
      verdict: 'not run',
      reason: 'The claim needs a fixed-off-time output stage; Alcove-6 has a linear one.',
    },
  ];
}

function controlSpecs(): SpecRecord[] {
  return [
    simple(
      'control',
      'commands-act-at-once',
      'A command shows in the light within 40 ms.',
      'command-latency',
      'command latency',
      0.0184,
      0.04,
      's',
      'ms',
    ),
    simple(
      'control',
      'dali-fade-times-are-right',
      'Every DALI fade time code gives its time.',
      'fade-duration-error',
      'fade time error',
      0.0072,
      0.05,
    ),
    simple(
      'control',
      'levels-are-clamped',
      'Levels outside the range are clamped to it.',
      'level-error',
      'level error against the curve',
      0.002,
      0.05,
    ),
    simple(
      'control',
      'start-code-is-heeded',
      'Slots with another START code change nothing.',
      'level-ratio-change',
      'change of level',
      0.0001,
      0.005,
    ),
    {
      ...spec(
        'control',
        'lost-signal-is-held',
        'When the control signal is lost, the lamp holds its light.',
        [],
        ['LUM-101'],
      ),
      verdict: 'not run',
      reason: 'The rig carries no DMX link.',
    },
  ];
}

function robustnessSpecs(): SpecRecord[] {
  return [
    simple(
      'robustness',
      'survives-a-supply-dip',
      'A supply dip of 10 ms does not restart the lamp.',
      'dropouts',
      'dropouts',
      0,
      0,
      '1',
      '1',
    ),
    simple(
      'robustness',
      'survives-garbled-commands',
      'Garbled console lines change nothing.',
      'level-ratio-change',
      'change of level',
      0.0003,
      0.005,
    ),
    simple(
      'robustness',
      'last-level-comes-back',
      'After power returns, the last level comes back.',
      'level-error',
      'level error against the curve',
      0.011,
      0.05,
    ),
    simple(
      'robustness',
      'a-long-night',
      'After 1,000 random commands the lamp still keeps its curve.',
      'level-error',
      'level error against the curve',
      0.0124,
      0.05,
    ),
  ];
}

function simple(
  folder: string,
  id: string,
  claim: string,
  metric: string,
  title: string,
  value: number,
  upper: number,
  unit = '1',
  shown = '%',
): SpecRecord {
  return spec(
    folder,
    id,
    claim,
    [
      condition(
        {},
        [
          finding({
            metric,
            title,
            of: 'light',
            unit,
            shown,
            value,
            expanded: upper * 0.04,
            upper,
            text: 'at most the limit of the lamp file',
          }),
        ],
        { signal: 'light', unit: 'lx' },
      ),
    ],
    [`LUM-${200 + id.length}`],
  );
}

export function spec(
  folder: string,
  id: string,
  claim: string,
  conditions: ConditionRecord[],
  traces: string[] = [],
): SpecRecord {
  return {
    spec: id,
    claim,
    file: `specs/${folder}/${id}.spec.yaml`,
    folder,
    digest: sha('a'),
    traces,
    tags: ['nightly', ...(folder === 'fading' || folder === 'dimming' ? ['commit'] : [])],
    verdict: rollUp(conditions.map((c) => c.verdict)),
    reason: null,
    conditions,
  };
}

let captureCount = 0;

export function condition(
  values: Record<string, string>,
  findings: Finding[],
  taken?: { signal: string; unit: string; fade?: number; ripple?: boolean },
): ConditionRecord {
  const ofs = taken?.signal === 'channel-current' ? [...channels] : taken ? ['light'] : [];
  const captures = ofs.map((of) => capture(taken?.signal ?? '', of, taken?.unit ?? ''));
  const files = captures.map(({ file }) => file);
  return {
    key: Object.entries(values)
      .map(([name, value]) => `${name}=${value}`)
      .join(', '),
    values,
    repeat: 0,
    verdict: rollUp(findings.map((f) => f.verdict)),
    reason: findings.find((f) => f.verdict !== 'pass')?.reason ?? null,
    startedAt: '2026-11-24T18:03:14.000Z',
    duration: 0.8 + (taken?.fade ?? 1),
    attempts: 1,
    marks: [{ name: 'fade', at: 0.3 }],
    commands: [
      {
        at: 0,
        link: 'console',
        verb: 'set',
        text: 'dim 100 mix 80 0 10 0 5 0',
        reply: 'ok',
      },
      {
        at: 0.3,
        link: 'console',
        verb: 'fade',
        text: `fade ${(taken?.fade ?? 1) * 1000} dim 100 mix 10 0 65 0 30 0`,
        reply: 'ok',
      },
    ],
    captures,
    findings: findings.map((f) => ({
      ...f,
      captures: f.of === 'lamp' || f.of === 'light' ? files : files.filter((x) => x.includes(f.of)),
    })),
  };
}

function capture(signal: string, of: string, unit: string): CaptureRecord {
  captureCount++;
  return {
    file: `${String(captureCount).padStart(4, '0')}-${signal}${of === signal ? '' : `-${of}`}.npy`,
    signal,
    of,
    instrument: 'digitiser',
    input: `ch${channels.indexOf(of as 'warm') + 1 || 7}`,
    rate: 10000,
    start: 0,
    samples: 20000,
    unit,
    scale: 0.0001,
    offset: 0,
    clipped: 0,
    taken: 'at-once',
  };
}

interface Made {
  metric: string;
  title: string;
  of: string;
  unit: string;
  shown: string;
  value: number;
  expanded: number;
  lower?: number;
  upper?: number;
  target?: number;
  text: string;
  verdict?: Verdict;
  reason?: string | null;
  charts?: Finding['evidence']['charts'];
  notes?: Finding['evidence']['notes'];
}

export function finding(made: Made): Finding {
  const { value, expanded, verdict = 'pass' } = made;
  const standard = expanded / 2;
  return {
    metric: made.metric,
    title: made.title,
    of: made.of,
    unit: made.unit,
    shown: made.shown,
    source: 'made up for drawing',
    during: null,
    outcome: { measured: true, value },
    uncertainty: {
      expanded,
      coverageFactor: 2,
      contributions: [
        { name: 'scale of the photodiode', standard: standard * 0.8 },
        { name: 'noise', standard: standard * 0.5 },
        { name: 'fit residual', standard: standard * Math.sqrt(1 - 0.64 - 0.25) },
      ],
    },
    limits: {
      lower: made.lower ?? null,
      upper: made.upper ?? null,
      target: made.target ?? null,
      text:
        made.text === 'at most the limit of the lamp file'
          ? `at most ${limitText(made.upper ?? 0, made.shown)}`
          : made.text,
    },
    rule: 'guarded',
    verdict,
    reason: made.reason ?? null,
    captures: [],
    evidence: { charts: made.charts ?? [], notes: made.notes ?? {} },
  };
}

function limitText(upper: number, shown: string): string {
  const factor = { '%': 100, ms: 1e3, µs: 1e6, mA: 1e3 }[shown] ?? 1;
  return `${Number((upper * factor).toPrecision(4))} ${shown}`.replace(' 1', '').trim();
}

/** One trace for each capture of the record: a fade with a little noise. */
export function sampleTraces(record: RunRecord): Trace[] {
  return record.specs.flatMap((s) =>
    s.conditions.flatMap((c) =>
      c.captures.map((cap, k) => {
        const count = Math.round(c.duration * 800);
        const samples = Float32Array.from({ length: count }, (_, i) => {
          const t = i / 800;
          const along = Math.min(1, Math.max(0, (t - 0.3) / Math.max(0.1, c.duration - 0.8)));
          const ripple = cap.signal === 'light' ? 1 + 0.02 * Math.sin(2 * Math.PI * 37 * t) : 1;
          return 0.35 * 10 ** (-along * (k % 3)) * ripple * (1 + 0.004 * (noise(i + k) - 0.5));
        });
        return traceOf(cap, { samples, rate: 800, start: 0, unit: cap.unit });
      }),
    ),
  );
}

function instrument(
  name: string,
  driver: string,
  date: string,
  due: string,
  certificate: string,
  state: 'valid' | 'due soon' | 'overdue',
) {
  return {
    name,
    driver,
    simulated: true,
    identity: { maker: 'Evenfall', model: `simulated ${name}`, serial: '41', firmware: '0.1.0' },
    calibration: { date, due, certificate, state },
  };
}

function tally(verdicts: readonly Verdict[]): Record<string, number> {
  const counts: Record<string, number> = {};
  for (const verdict of verdicts) counts[verdict] = (counts[verdict] ?? 0) + 1;
  return counts;
}

function sha(digit: string): string {
  return digit.repeat(64);
}

/** A fixed scatter in 0..1: the same k gives the same figure. */
export function noise(k: number): number {
  const x = Math.sin(k * 12.9898 + 4.1) * 43758.5453;
  return x - Math.floor(x);
}
