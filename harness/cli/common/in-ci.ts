import type { Io } from './io.ts';

/** The process runs in a job that reads workflow commands from its log. */
export function inCi({ env }: Pick<Io, 'env'>): boolean {
  return env['GITHUB_ACTIONS'] === 'true';
}
