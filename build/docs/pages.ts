/** A page of the site: a Markdown file of the repository, read where it stands. */
export interface Page {
  /** Path from the root of the repository, with slashes. */
  readonly source: string;
  /** Words of the table of contents. */
  readonly title: string;
}

export interface Chapter {
  readonly title: string;
  readonly pages: readonly Page[];
}

/**
 * The site's table of contents. Every Markdown file that users read stands in it once; a test holds it against the
 * folder docs/.
 */
export const chapters: readonly Chapter[] = [
  {
    title: 'Begin here',
    pages: [
      page('README.md', 'Evenfall'),
      page('docs/reference/glossary.md', 'Glossary'),
      page('docs/reference/commands.md', 'Commands'),
      page('CHANGELOG.md', 'What is new'),
    ],
  },
  {
    title: 'Tutorials',
    pages: [
      page('docs/tutorials/1-first-run.md', '1: a first run'),
      page('docs/tutorials/2-first-claim.md', '2: a claim of your own'),
      page('docs/tutorials/3-first-firmware.md', '3: firmware of your own'),
      page('docs/tutorials/4-first-rig.md', '4: a first rig'),
      page('docs/tutorials/5-first-release.md', '5: a signed release'),
    ],
  },
  {
    title: 'Claims',
    pages: [
      page('specs/README.md', 'The spec language, lamp and rig files'),
      page('docs/reference/lamp-file.md', 'Keys of a lamp file'),
      page('docs/news.md', 'News of what ended'),
      page('docs/repeating.md', 'Measuring again what is inconclusive'),
      page('docs/diagnosis.md', 'What failures have in common'),
      page('docs/diagnosis-table.md', 'Causes of the seeded faults'),
      page('docs/explore.md', 'Search for what no claim asks'),
      page('docs/model.md', 'What the model takes for right'),
    ],
  },
  {
    title: 'Handbook of metrics',
    pages: [
      page('docs/metrics/README.md', 'All metrics'),
      page('docs/metrics/level.md', 'Level'),
      page('docs/metrics/fade.md', 'Fade'),
      page('docs/metrics/colour.md', 'Colour'),
      page('docs/metrics/flicker.md', 'Flicker'),
      page('docs/metrics/camera.md', 'Camera'),
      page('docs/metrics/current.md', 'LED current'),
      page('docs/metrics/mains.md', 'Mains and supply'),
      page('docs/metrics/control.md', 'Control'),
      page('harness/measure/SOURCES.md', 'Sources'),
      page('harness/verdict/COVERAGE.md', 'Does value ± U hold the truth?'),
    ],
  },
  {
    title: 'Firmware',
    pages: [
      page('docs/project.md', 'A project in a firmware repository'),
      page('docs/firmware.md', 'Your firmware in the simulated lamp'),
      page('drivers/plant/emulate/README.md', 'The emulated bench'),
      page('tests/firmware/README.md', 'The example in C'),
      page('docs/not-simulated.md', 'What is not simulated'),
    ],
  },
  {
    title: 'The bench',
    pages: [
      page('docs/bench/README.md', 'Instrument by instrument'),
      page('docs/bench/digitiser.md', 'Digitiser'),
      page('docs/bench/supply.md', 'Supply'),
      page('docs/bench/switch.md', 'Switch'),
      page('docs/bench/chamber.md', 'Chamber'),
      page('docs/bench/colour-sensor.md', 'Colour sensor'),
      page('docs/bench/spectrometer.md', 'Spectrometer'),
      page('docs/bench/camera.md', 'Camera'),
      page('docs/bench/links.md', 'Links'),
      page('docs/bench/check-standard.md', 'Check standard'),
      page('docs/bench/after-the-run.md', 'After the run'),
      page('docs/reference/rig-file.md', 'Keys of a rig file'),
      page('drivers/scpi/PROFILES.md', 'Profiles of SCPI instruments'),
      page('docs/reference/scpi-profile.md', 'Keys of a profile'),
      page('drivers/program/README.md', 'A program as an instrument'),
      page('docs/drivers.md', 'A driver of your own'),
    ],
  },
  {
    title: 'The lab',
    pages: [page('docs/lab.md', 'Many rigs, many builds')],
  },
  {
    title: 'Evidence',
    pages: [
      page('reports/README.md', 'The folder of a run'),
      page('docs/reference/policy-file.md', 'Keys of a release policy'),
      page('docs/threat-model.md', 'Against whom signatures hold'),
      page('SECURITY.md', 'Report a way around'),
    ],
  },
  {
    title: 'Build on it',
    pages: [
      page('docs/library.md', 'Metrics and records in your program'),
      page('docs/sqlite.md', 'The index without a compiler'),
      page('CONTRIBUTING.md', 'Bring a change in'),
      page('DEVELOPERS.md', 'For developers'),
    ],
  },
];

function page(source: string, title: string): Page {
  return { source, title };
}

/** `docs/bench/README.md` becomes `docs/bench/index.html`: links between pages hold as they are written. */
export function outputOf(source: string): string {
  return source.replace(/(^|\/)README\.md$/, '$1index.html').replace(/\.md$/, '.html');
}
