/** What a command's page says beyond its arguments and options. */
export interface Guide {
  /** Long options by what they are for, in the order of the page. */
  readonly groups: readonly (readonly [heading: string, options: readonly string[]])[];
  /** Two command lines, each with what it does; without the word evenfall. */
  readonly examples: readonly (readonly [line: string, does: string])[];
  readonly exits: readonly (readonly [code: number, means: string])[];
}

const wrong = [64, 'the command line is wrong'] as const;
const badFile = [65, 'a file has mistakes'] as const;
const noInput = [66, 'a file or run is not there'] as const;
const unreachable = [69, 'an instrument or the lamp cannot be reached, or is another one'] as const;
const notWritten = [73, 'a file cannot be written'] as const;
const inUse = [75, 'somebody else is using the rig'] as const;
const refusedByLab = [77, 'the lab refuses it'] as const;
const altered = [77, 'a stored run is not as it was sealed'] as const;
const stopped = [130, 'stopped by Ctrl-C (143: by SIGTERM)'] as const;
const verdicts = [
  [0, 'everything that applies passed'],
  [1, 'something failed'],
  [2, 'nothing failed, but something is inconclusive or was not run'],
  [3, 'the bench failed, never the lamp'],
] as const;
const onRig = [[3, 'the bench failed'], wrong, badFile, noInput, unreachable, inUse] as const;

function newFile(kind: string, name: string): Guide {
  return {
    groups: [['where it goes', ['out']]],
    examples: [
      [`new ${kind} ${name}`, `writes ${name}.${kind}.yaml here`],
      [`new ${kind} ${name} --out -`, 'prints it'],
    ],
    exits: [[0, 'written'], wrong, notWritten],
  };
}

const copies = ['which copies', ['specs', 'lamp']] as const;
const rigFiles = ['which rig', ['rig', 'lamp', 'locks']] as const;

/** By the words that call the command. */
export const guides: Readonly<Record<string, Guide>> = {
  check: {
    groups: [
      ['what they are held against', ['lamp', 'rig']],
      ['what is printed', ['json', 'schema', 'metrics']],
    ],
    examples: [
      ['check specs', 'every mistake in the specs of this folder'],
      ['check specs --rig bench.rig.yaml', 'and what this rig could not prove'],
    ],
    exits: [
      [0, 'no mistake'],
      [3, 'a claim would prove nothing of the lamp, or the rig cannot prove it'],
      wrong,
      badFile,
      noInput,
    ],
  },
  run: {
    groups: [
      [
        'what is run',
        [
          'tag',
          'only',
          'shard',
          'quarantine',
          'failed',
          'failed-in',
          'lamp',
          'rig',
          'until-decided',
          'resume',
          'watch',
        ],
      ],
      ['the simulated lamp', ['seed', 'fault', 'firmware', 'against', 'jobs', 'reuse']],
      ['on a rig', ['flashing-ok', 'patience', 'retries', 'max-bench-errors', 'locks']],
      ['for the record', ['build', 'serial', 'operator']],
      ['where it goes', ['out', 'captures', 'news', 'json', 'quiet', 'firmware-log']],
    ],
    examples: [
      ['run specs --tag commit', 'the quick claims, on the simulated lamp'],
      ['run specs --rig bench.rig.yaml --build 1.8.0', 'all claims, on real instruments'],
    ],
    exits: [...verdicts, wrong, badFile, noInput, unreachable, notWritten, inUse, stopped],
  },
  merge: {
    groups: [
      ['which runs', ['reports']],
      ['where it goes', ['out', 'quiet']],
    ],
    examples: [
      ['merge reports/*', 'all shards that lie in a folder'],
      ['merge 3fa9c01b 77e0d1c2 --out whole', 'two shards, by the starts of their ids'],
    ],
    exits: [...verdicts, wrong, badFile, noInput, notWritten, altered, stopped],
  },
  replay: {
    groups: [
      ['what is replayed', ['claim', 'condition', 'reports']],
      ['with what', ['firmware', 'specs', 'lamp', 'rig', 'despite-changes']],
      ['for a debugger', ['pause-at']],
      ['where it goes', ['out', 'vcd', 'transcript']],
    ],
    examples: [
      [
        'replay latest --claim fades-on-time --vcd fade.vcd',
        'its worst condition, for a waveform viewer',
      ],
      [
        'replay latest --claim fades-on-time --firmware lamp.wasm',
        'of a run with firmware of yours',
      ],
    ],
    exits: [...verdicts, wrong, badFile, noInput, notWritten, altered, stopped],
  },
  explain: {
    groups: [['what is explained', ['lamp', 'condition']]],
    examples: [
      ['explain specs/fading/fades-on-time.spec.yaml', 'its first condition'],
      ['explain my.spec.yaml --condition "level=1 %"', 'the condition that is named'],
    ],
    exits: [[0, 'explained'], wrong, badFile, noInput],
  },
  'new spec': newFile('spec', 'mix-reaches-bottom'),
  'new lamp': newFile('lamp', 'case-light'),
  'new rig': newFile('rig', 'bench'),
  'new policy': newFile('policy', 'releases'),
  'new firmware': {
    groups: [
      ['where it goes', ['folder']],
      ['which lamp', ['lamp', 'channels', 'links', 'dali', 'rdm', 'slot-bits', 'on-loss']],
      ['how it makes light', ['curve', 'modulation', 'stage', 'supply']],
      ['what else', ['style', 'ci']],
    ],
    examples: [
      ['new firmware case-light', 'two whites on a console, in the folder case-light'],
      [
        'new firmware case-light --style main-loop --links console,dmx',
        'with a main loop, and slots',
      ],
    ],
    exits: [[0, 'written; what was there is unchanged'], wrong, badFile, noInput, notWritten],
  },
  'new project': {
    groups: [
      ['where it goes', ['folder']],
      ['which lamp', ['lamp', 'channels', 'links', 'dali', 'rdm', 'slot-bits', 'on-loss']],
      ['how it makes light', ['curve', 'modulation', 'stage', 'supply']],
      ['what else is laid out', ['style', 'ci', 'no-firmware']],
    ],
    examples: [
      ['new project', 'two whites on a console, in this folder'],
      [
        'new project case-light --channels 6 --links console,dali --dali tunable-white',
        'six channels, tunable white over DALI',
      ],
    ],
    exits: [[0, 'laid out; what was there is unchanged'], wrong, badFile, noInput, notWritten],
  },
  'library diff': {
    groups: [copies],
    examples: [
      ['library diff', 'what the installed version changed, file by file'],
      ['library diff specs/fading/fades-on-time.spec.yaml', 'of one file'],
    ],
    exits: [[0, 'nothing to take'], [1, 'something to take or to decide'], wrong, badFile, noInput],
  },
  'library update': {
    groups: [copies, ['what is taken', ['new', 'mine', 'theirs']]],
    examples: [
      ['library update', 'takes what it can; your changes stay'],
      ['library update specs/dimming/monotone.spec.yaml --mine', 'this one stays as it is'],
    ],
    exits: [
      [0, 'all is taken'],
      [1, 'some files are left to you'],
      wrong,
      badFile,
      noInput,
      notWritten,
    ],
  },
  trace: {
    groups: [
      ['what is traced', ['requirements', 'lamp']],
      ['whose verdicts', ['reports', 'build', 'run', 'with-faults']],
      ['what is printed', ['json', 'page']],
    ],
    examples: [
      [
        'trace specs --requirements specs/requirements.csv',
        'with the verdicts of the newest build',
      ],
      ['trace specs --requirements req.csv --run 3f2a', 'with those of another run'],
    ],
    exits: [
      [0, 'every requirement is covered by a claim'],
      [1, 'at least one is not, whatever the verdicts are'],
      wrong,
      badFile,
      noInput,
      notWritten,
      altered,
    ],
  },
  measure: {
    groups: [
      ['what is measured', ['metric', 'of', 'column', 'set', 'during', 'reference']],
      ['what the file does not say', ['rate', 'unit', 'range', 'dark', 'calibration', 'coverage']],
      ['what was commanded', ['from', 'to', 'over', 'at', 'level', 'curve', 'bottom']],
      ['one limit', ['at-most', 'at-least', 'between']],
      ['the criteria of a spec', ['spec', 'claim', 'condition', 'lamp', 'begin', 'mark']],
      ['what is printed', ['json', 'list', 'page']],
    ],
    examples: [
      ['measure light.csv --metric modulation --at-most "1 %"', 'one figure, and whether it holds'],
      ['measure light.csv --spec flicker.spec.yaml --begin "0 s"', 'all criteria of a spec'],
    ],
    exits: [...verdicts, wrong, badFile, noInput, notWritten],
  },
  challenge: {
    groups: [
      ['what is tried', ['lamp', 'rig', 'tag', 'fault', 'seeds', 'healthy', 'quick']],
      ['how', ['jobs', 'state']],
      ['what is printed', ['page', 'json']],
    ],
    examples: [
      ['challenge specs --quick', 'every fault, against the claims that name it'],
      ['challenge specs --fault linear-dimming --healthy 0', 'one fault, no healthy lamps'],
    ],
    exits: [
      [0, 'every fault was caught, and no healthy lamp failed'],
      [1, 'a fault escaped, or a healthy lamp failed'],
      wrong,
      badFile,
      noInput,
      notWritten,
      stopped,
    ],
  },
  explore: {
    groups: [
      ['which lamp', ['lamp', 'rig', 'firmware', 'fault']],
      ['how long, and from where', ['for', 'sequences', 'seed', 'jobs', 'from', 'first']],
      ['on a rig', ['brightest', 'longest', 'flashing-ok', 'locks']],
      ['where it goes', ['out']],
    ],
    examples: [
      ['explore specs --for "10 min"', 'search the simulated lamp for ten minutes'],
      ['explore specs --fault linear-dimming --first', 'see whether a seeded fault is found'],
    ],
    exits: [
      [0, 'nothing was found'],
      [1, 'the lamp deviated from its model'],
      [2, 'it did only where the reference firmware does so, too'],
      [3, 'the bench failed'],
      wrong,
      badFile,
      noInput,
      unreachable,
      inUse,
      stopped,
    ],
  },
  'rig list': {
    groups: [rigFiles, ['what is printed', ['json']]],
    examples: [
      ['rig list --rig bench.rig.yaml', 'who answers, and what is calibrated until when'],
      ['rig list --rig bench.rig.yaml --json', 'the same for a program'],
    ],
    exits: [[0, 'all instruments answered'], ...onRig],
  },
  'rig test': {
    groups: [rigFiles, ['what is printed', ['json']]],
    examples: [
      ['rig test --rig bench.rig.yaml', 'every instrument of the rig'],
      ['rig test supply --rig bench.rig.yaml', 'the one of this name'],
    ],
    exits: [[0, 'all tests passed'], ...onRig],
  },
  'rig safe': {
    groups: [rigFiles, ['how', ['force']]],
    examples: [
      ['rig safe --rig bench.rig.yaml', 'switch lamp and supply off'],
      ['rig safe --rig bench.rig.yaml --force', 'even while a run is using them'],
    ],
    exits: [[0, 'off, and confirmed'], ...onRig],
  },
  'rig calibrate': {
    groups: [
      rigFiles,
      ['which input', ['signal', 'of']],
      ['scale', ['reference', 'uncertainty', 'reference-serial', 'accept-jump', 'lit']],
      ['dark', ['length']],
      ['timing', ['link', 'edges', 'latency']],
      ['for the history', ['operator', 'environment', 'certificate', 'due']],
    ],
    examples: [
      ['rig calibrate dark --rig bench.rig.yaml', 'the zero of the light input'],
      [
        'rig calibrate scale --rig b.rig.yaml --reference "512 lx" --uncertainty "3 lx"',
        'against an illuminance meter',
      ],
    ],
    exits: [[0, 'measured, and written to the rig file'], ...onRig, notWritten],
  },
  'rig standard': {
    groups: [rigFiles],
    examples: [
      ['rig standard --rig bench.rig.yaml', 'the chart of its check standard'],
      ['rig standard --rig bench.rig.yaml --lamp my.lamp.yaml', 'with another lamp file'],
    ],
    exits: [[0, 'in control'], ...onRig],
  },
  'rig serve': {
    groups: [
      ['which rig', ['rig', 'lamp', 'locks', 'folder']],
      ['which lab', ['lab', 'token-file']],
      ['how it runs', ['flashing-ok', 'retries', 'patience', 'jobs']],
    ],
    examples: [
      ['rig serve --rig bench.rig.yaml --lab https://lab.example', 'runs what the lab has for it'],
      [
        'rig serve --rig bench.rig.yaml --lamp my.lamp.yaml --token-file bench.token',
        'for this lamp alone; EVENFALL_LAB names the lab',
      ],
    ],
    exits: [...onRig, refusedByLab, stopped],
  },
  'lab serve': {
    groups: [
      ['where things are kept, and how long', ['folder', 'reports', 'database', 'keep-files']],
      ['where it listens', ['host', 'port']],
      ['who may decide', ['policy']],
      ['when a shard goes to another rig', ['silence', 'attempts']],
      ['who is told', ['news']],
    ],
    examples: [
      ['lab serve', 'on this computer, with a database of its own'],
      ['lab serve --database postgres://lab@db.example/lab', 'with a PostgreSQL server'],
    ],
    exits: [
      wrong,
      badFile,
      noInput,
      [69, 'the database or the address cannot be had'],
      [75, 'another service uses the folder'],
      stopped,
    ],
  },
  'lab sign': {
    groups: [
      ['who signs what', ['key', 'as', 'meaning', 'decision']],
      ['what does not hold, and why', ['waive', 'reason']],
      ['how', ['policy', 'unencrypted-key']],
      ['which lab', ['lab', 'token-file']],
    ],
    examples: [
      [
        'lab sign latest --key qa.key --as "A. Reviewer" --meaning approval --decision release',
        'release the newest run of the lab',
      ],
      [
        'lab sign 3f2a --key qa.key --as "A. Reviewer" --meaning review --decision hold --policy release.policy.yaml',
        'hold another, where the lab decides by a policy',
      ],
    ],
    exits: [
      [0, 'signed, and stored by the lab'],
      wrong,
      badFile,
      [66, 'a file, or the run, is not there'],
      [69, 'the lab cannot be reached'],
      [77, 'refused: by the key, the policy, the run or the lab'],
      stopped,
    ],
  },
  'lab token': {
    groups: [
      ['for whom', ['role', 'rig']],
      ['which lab', ['lab', 'token-file']],
    ],
    examples: [
      ['lab token add bench-3 --rig', 'prints a token for the rig bench-3'],
      ['lab token add dora --role submit sign', 'prints one for a person'],
    ],
    exits: [[0, 'done'], wrong, [66, 'nobody has that name'], refusedByLab],
  },
  'lab cancel': {
    groups: [['which lab', ['lab', 'token-file']]],
    examples: [
      ['lab cancel 0b6e9f3c-1d2a-4c55-9a51-7f0f7b1f2a10', 'no rig takes a shard of it any more'],
      [
        'lab cancel 0b6e9f3c-1d2a-4c55-9a51-7f0f7b1f2a10 --token-file dora.token',
        'with the token of who submitted it, or of an administrator',
      ],
    ],
    exits: [[0, 'cancelled'], wrong, [66, 'there is no such submission'], refusedByLab],
  },
  'lab schedule': {
    groups: [['which lab', ['lab', 'token-file']]],
    examples: [
      ['lab schedule list', 'what is submitted by itself, and when'],
      ['lab schedule remove nightly', 'no more'],
    ],
    exits: [[0, 'done'], wrong, [66, 'there is none of that name'], refusedByLab],
  },
  submit: {
    groups: [
      ['what is judged', ['tag', 'only', 'failed-in', 'quarantine', 'lamp', 'firmware']],
      [
        'on which rigs, and how',
        ['simulated', 'flashing-ok', 'shards', 'shard-time', 'seed', 'until-decided'],
      ],
      ['for the record', ['build', 'serial', 'operator', 'captures']],
      ['when', ['schedule', 'cron', 'zone']],
      ['the end of it', ['wait', 'junit', 'page', 'quiet']],
      ['which lab', ['lab', 'token-file']],
    ],
    examples: [
      ['submit specs --build 1.4.2 --tag nightly', 'queues them, and ends'],
      [
        'submit specs --build 1.4.2 --wait --junit lab.xml',
        'waits for the whole, and ends with its exit code',
      ],
    ],
    exits: [...verdicts, wrong, badFile, noInput, refusedByLab, stopped],
  },
  emulate: {
    groups: [
      ['what is served', ['lamp', 'rig', 'firmware', 'speed', 'seed', 'factory-fresh']],
      ['where', ['port-base', 'sacn-port', 'console-link', 'dmx-link']],
      ['what goes wrong', ['fault', 'trouble', 'chamber-time']],
    ],
    examples: [
      ['emulate', 'the shipped lamp and its instruments'],
      ['emulate --fault linear-dimming --speed 10', 'a faulty lamp, ten times as fast'],
    ],
    exits: [wrong, badFile, noInput, [69, 'a port is taken'], stopped],
  },
  report: {
    groups: [
      ['which report', ['format', 'out', 'reports']],
      ['whose signatures', ['public', 'policy']],
      ['judge again', ['rejudge', 'specs', 'lamp', 'rig']],
    ],
    examples: [
      ['report latest', 'the summary of the newest run'],
      ['report 3f2a --format junit --out junit.xml', 'for a CI server'],
    ],
    exits: [
      [0, 'printed; with --rejudge as of a run: 0, 1, 2 or 3'],
      wrong,
      badFile,
      noInput,
      notWritten,
      altered,
    ],
  },
  runs: {
    groups: [
      ['which runs', ['reports', 'lamp', 'build', 'verdict', 'since', 'limit']],
      ['what is printed', ['json', 'rebuild']],
      ['remove old runs', ['prune', 'keep', 'older-than', 'dry-run', 'yes']],
    ],
    examples: [
      ['runs --verdict fail --since "7 d"', 'what failed in the last week'],
      ['runs --prune --older-than "90 d"', 'remove what is older, after asking'],
    ],
    exits: [[0, 'listed'], wrong, notWritten, altered, stopped],
  },
  compare: {
    groups: [
      ['which runs', ['reports', 'lamp']],
      ['what is printed', ['all', 'light', 'json', 'page', 'pdf']],
    ],
    examples: [
      ['compare 3f2a latest', 'what changed since that run'],
      ['compare 1.7.0 1.8.0 --page changes.html', 'the newest runs of two builds, as a page'],
    ],
    exits: [
      [0, 'nothing is worse'],
      [1, 'a finding newly fails'],
      [2, 'one is newly inconclusive'],
      [3, 'one is newly in error'],
      wrong,
      noInput,
      notWritten,
      altered,
    ],
  },
  trend: {
    groups: [
      ['which figures', ['spec', 'of', 'lamp', 'since', 'last', 'top', 'with-faults', 'flaky']],
      ['from where', ['reports']],
      ['what is printed', ['csv', 'openmetrics', 'json', 'page']],
    ],
    examples: [
      ['trend', 'all metrics, those that drift most first'],
      ['trend fade-duration --since "90 d"', 'one metric over three months'],
    ],
    exits: [[0, 'shown'], wrong, noInput, notWritten, altered],
  },
  view: {
    groups: [
      ['what is served, and where', ['reports', 'host', 'port']],
      ['signing in the browser', ['key', 'public', 'policy']],
    ],
    examples: [
      ['view', 'prints an address to open; Ctrl-C stops the server'],
      ['view --port 8080 --key qa.key --policy release.policy.yaml', 'with a key to sign with'],
    ],
    exits: [wrong, badFile, noInput, [69, 'the port is taken'], stopped],
  },
  'keys new': {
    groups: [['where it goes', ['out']]],
    examples: [
      ['keys new --out qa.key', 'asks for a passphrase; qa.key.pub.pem is the public half'],
      ['keys new --out ~/.keys/evenfall.key', 'in another folder'],
    ],
    exits: [[0, 'made'], wrong, notWritten, stopped],
  },
  'keys passphrase': {
    groups: [],
    examples: [
      ['keys passphrase qa.key', 'asks for the old one, and twice for the new'],
      ['keys passphrase ~/.keys/evenfall.key', 'of a key in another folder'],
    ],
    exits: [
      [0, 'changed'],
      wrong,
      badFile,
      noInput,
      notWritten,
      [77, 'the passphrase is wrong'],
      stopped,
    ],
  },
  sign: {
    groups: [
      ['who signs what', ['key', 'as', 'meaning', 'decision']],
      ['what does not hold, and why', ['waive', 'reason']],
      ['how', ['policy', 'ledger', 'unencrypted-key']],
      ['from where', ['reports', 'json']],
    ],
    examples: [
      [
        'sign latest --key qa.key --as "A. Reviewer" --meaning approval --decision release',
        'release the newest run',
      ],
      [
        'sign 3f2a --key qa.key --as "A. Reviewer" --meaning review --decision hold',
        'hold another',
      ],
    ],
    exits: [[0, 'signed'], wrong, badFile, noInput, notWritten, [77, 'refused'], stopped],
  },
  verify: {
    groups: [
      ['who may release', ['public', 'policy', 'ledger']],
      ['from where', ['reports']],
      ['what is printed', ['json']],
    ],
    examples: [
      ['verify latest --public qa.key.pub.pem', 'whether the holder of this key released it'],
      ['verify 3f2a --policy release.policy.yaml', 'whether all did whom the policy asks for'],
    ],
    exits: [[0, 'released'], wrong, badFile, noInput, [77, 'anything else']],
  },
  export: {
    groups: [
      ['what is written', ['format', 'capture', 'captures']],
      ['one condition for a waveform viewer (vcd)', ['claim', 'condition', 'from', 'to']],
      ['from where, and where to', ['reports', 'out']],
    ],
    examples: [
      ['export latest --format csv', 'every finding, a line each'],
      [
        'export latest --format vcd --claim fades-on-time --out fade.vcd',
        'its worst condition, for a waveform viewer',
      ],
    ],
    exits: [[0, 'written'], wrong, noInput, notWritten, altered],
  },
};
