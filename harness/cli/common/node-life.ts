/** Last days of Node's release lines, UTC: the published schedule of nodejs/Release, from memory. Lines after these are not in it yet. */
const lastDays: Readonly<Record<string, string>> = {
  '20': '2026-04-30',
  '22': '2027-04-30',
  '24': '2028-04-30',
};

/** The variable by which somebody says that they know. */
const silenced = 'EVENFALL_OLD_NODE';

/** A sentence where this version of Node (`20.19.0`) is past its end of life on a day (YYYY-MM-DD); null where it is not, or nobody knows. */
export function nodeLifeText(version: string, today: string): string | null {
  const [line = ''] = version.split('.');
  const lastDay = lastDays[line];
  if (lastDay === undefined || today <= lastDay) return null;
  const later = Object.keys(lastDays).filter((one) => (lastDays[one] ?? '') >= today);
  const next = later.length > 0 ? `install Node ${later.join(' or ')}` : 'install a newer one';
  return `Node ${version} is past its end of life (${lastDay}) and gets no security fixes: ${next}, or set ${silenced}=1 to read this no more`;
}

/** Whether a command line is told of it: a run that talks, once. */
export function isToldOfNode(
  args: readonly string[],
  env: Readonly<Record<string, string | undefined>>,
): boolean {
  const quiet = ['--quiet', '--json', '--help', '-h'].some((flag) => args.includes(flag));
  return args[0] === 'run' && !quiet && !env[silenced];
}
