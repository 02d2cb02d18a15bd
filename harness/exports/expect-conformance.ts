import {
  type Candidate,
  type ConformanceResult,
  conformance,
  type Kind,
} from '../../drivers/conformance/conformance.ts';

/**
 * Holds an instrument against all promises of its port, for a test of one's own. Resolves with what became of each promise:
 * `kept`, or `unproven` where this instrument gives no chance to see it. Rejects with an Error that has a line for every promise that was
 * broken: what is promised, what was expected, and what happened.
 *
 * @param kind What the instrument is.
 * @param candidate How it is opened, and in how many seconds a call has to settle. Each promise opens it anew and closes it.
 */
export async function expectConformance(
  kind: Kind,
  candidate: Candidate,
): Promise<readonly ConformanceResult[]> {
  const results: ConformanceResult[] = [];
  for await (const result of conformance(kind, candidate)) results.push(result);
  const broken = results.filter(({ outcome }) => outcome === 'broken');
  if (broken.length === 0) return results;
  const lines = broken.map(({ guarantee, detail }) => `- ${guarantee}: ${detail}`);
  throw new Error(
    `the ${kind} broke ${broken.length} of ${results.length} promises:\n${lines.join('\n')}`,
  );
}
