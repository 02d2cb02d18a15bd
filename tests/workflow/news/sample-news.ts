import type { News } from '../../../harness/workflow/news/news.ts';

export const secret = '0123456789abcdef0123456789abcdef';

export const news: News = {
  of: 'run',
  id: '3fa9c01b77e0d1c2',
  lamp: 'alcove-6',
  build: '1.8.0',
  serial: 'A6-0042',
  tags: ['nightly'],
  rig: 'bench',
  isSimulated: false,
  verdict: 'fail',
  ended: 'complete',
  startedAt: '2026-11-30T01:30:00Z',
  endedAt: '2026-11-30T03:10:00Z',
  claims: { pass: 24, fail: 2, 'not applicable': 3 },
  open: [
    { claim: 'fades-on-time', verdict: 'fail', reason: 'Fade duration is 2.31 s' },
    { claim: 'dims-deep', verdict: 'fail', reason: null },
  ],
  where: 'reports/2026-11-30',
};

/** The same, with words that strangers chose. */
export const hostile: News = {
  ...news,
  lamp: 'alcove\r\nBcc: all@example.com\r\n\r\nhello',
  build: '1.8\u001b[31m\u202e0\u0000',
  open: [{ claim: 'x\n.\nQUIT', verdict: 'fail', reason: 'a\r\n.\r\nRSET\u2028b' }],
};
