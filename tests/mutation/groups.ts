/** A part of the judging code, and the tests that stand for it. */
export interface MutationGroup {
  readonly name: string;
  /** Folders from the root whose files are mutated. */
  readonly folders: readonly string[];
  /** Folders and files. */
  readonly tests: readonly string[];
}

/** The metrics of a family with its features, and the tests of that family. */
function family(name: string, published: readonly string[] = []): MutationGroup {
  return {
    name,
    folders: [`harness/measure/metrics/${name}`, `harness/measure/features/${name}`],
    tests: [`tests/measure/${name}`, ...published.map((test) => `tests/published/${test}.test.ts`)],
  };
}

export const mutationGroups: readonly MutationGroup[] = [
  {
    name: 'verdict',
    folders: ['harness/verdict'],
    // Not its counts of coverage, nor the clean records of all scenes, which take minutes.
    tests: [
      ...[
        'assess',
        'assess-budget',
        'assess-rounding',
        'dark-reference',
        'instant-errors',
        'judge',
        'known-input',
        'late-records',
        'mirrored-codes',
        'random-errors',
      ],
      ...['realisations', 'roll-up', 'scale-budget', 'settled', 'told-inputs'],
    ].map((name) => `tests/verdict/${name}.test.ts`),
  },
  { name: 'judge', folders: ['harness/run/judge'], tests: ['tests/run/judge'] },
  family('flicker', ['flicker-index', 'flicker-ja10', 'ieee1789', 'pst', 'svm']),
  family('camera', ['camera']),
  family('colour', ['colour']),
  family('control'),
  family('current', ['current']),
  family('fade', ['fade-times']),
  family('level', ['dimming-curve']),
  family('mains', ['mains']),
  {
    name: 'signal',
    folders: ['harness/measure/signal', 'harness/measure/analysis', 'harness/measure/subject'],
    tests: ['signal', 'analysis', 'subject'].map((part) => `tests/measure/${part}`),
  },
];

export function groupNamed(name: string | undefined): MutationGroup {
  const found = mutationGroups.find((group) => group.name === name);
  if (found) return found;
  const names = mutationGroups.map((group) => group.name).join(', ');
  throw new Error(`no mutation group ${name}; there are ${names}`);
}
