import { describe, expect, it } from 'vitest';
import { isToldOfNode, nodeLifeText } from '../../harness/cli/common/node-life.ts';

describe('a Node past its end of life', () => {
  it('is named with its last day and those that live on', () => {
    expect(nodeLifeText('20.19.0', '2026-05-01')).toBe(
      'Node 20.19.0 is past its end of life (2026-04-30) and gets no security fixes: install Node 22 or 24, or set EVENFALL_OLD_NODE=1 to read this no more',
    );
    expect(nodeLifeText('24.1.0', '2029-01-01')).toContain('install a newer one');
  });

  it('is not spoken of before, nor where nobody knows the day', () => {
    expect(nodeLifeText('20.19.0', '2026-04-30')).toBeNull();
    expect(nodeLifeText('26.0.0', '2040-01-01')).toBeNull();
  });

  it('is told to a run that talks, and to nobody else', () => {
    expect(isToldOfNode(['run', 'specs'], {})).toBe(true);
    for (const args of [['run', '--quiet'], ['run', '--json'], ['run', '--help'], ['check'], []])
      expect(isToldOfNode(args, {}), args.join(' ')).toBe(false);
    expect(isToldOfNode(['run'], { EVENFALL_OLD_NODE: '1' })).toBe(false);
  });
});
