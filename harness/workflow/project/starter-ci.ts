/** Files by which a forge runs jobs: `workflow` in .github/workflows, `pipeline` in .gitlab-ci.yml. */
export const ciForms = ['workflow', 'pipeline'] as const;
export type CiForm = (typeof ciForms)[number];

/** Where each form is looked for. */
export const ciFiles: Readonly<Record<CiForm, string>> = {
  workflow: '.github/workflows/evenfall.yml',
  pipeline: '.gitlab-ci.yml',
};

/** A file that runs the quick claims on every push; `firmware` says that the project has a firmware folder. */
export function starterCi(form: CiForm, firmware: boolean): string {
  return form === 'workflow' ? workflow(firmware) : pipeline(firmware);
}

const about = `# The quick claims on every push, on the simulated lamp; no hardware is needed. The stored run (its page, junit.xml, captures of what did not
# pass) is kept. Exit codes: 0 passed, 1 something failed, 2 not decided or not run, 3 the bench failed.
`;

const own =
  'With your own firmware in the lamp (check: needs clang, lld and make; firmware/README.md):';

function workflow(firmware: boolean): string {
  const build = `      # ${own}
      # - run: sudo apt-get update && sudo apt-get install --yes clang lld make && make -C firmware
      # - run: npx evenfall run --tag commit --captures failures --firmware firmware/build/lamp.wasm --build "$GITHUB_SHA"
`;
  return `${about}name: evenfall
on: [push, pull_request]
permissions:
  contents: read
jobs:
  light:
    runs-on: ubuntu-24.04
    timeout-minutes: 20
    steps:
      - uses: actions/checkout@v4
      - uses: actions/setup-node@v4
        with: { node-version: 24 }
      - run: npm ci
      - run: npx evenfall check specs
      - run: npx evenfall run --tag commit --captures failures --build "$GITHUB_SHA"
${firmware ? build : ''}      - uses: actions/upload-artifact@v4
        if: always()
        with: { name: evenfall, path: reports/ }
`;
}

function pipeline(firmware: boolean): string {
  const build = `    # ${own}
    # - apt-get update && apt-get install --yes clang lld make && make -C firmware
    # - npx evenfall run --tag commit --captures failures --firmware firmware/build/lamp.wasm --build "$CI_COMMIT_SHORT_SHA"
`;
  return `${about}light:
  image: node:24-bookworm
  timeout: 20 minutes
  script:
    - npm ci
    - npx evenfall check specs
    - npx evenfall run --tag commit --captures failures --build "$CI_COMMIT_SHORT_SHA"
${firmware ? build : ''}  after_script:
    - npx evenfall report latest --format code-quality --out code-quality.json
  artifacts:
    when: always
    paths: [reports/]
    reports: { junit: reports/*/junit.xml, codequality: code-quality.json }
`;
}
