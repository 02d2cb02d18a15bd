import { expect, it } from 'vitest';
import { linkNames, links } from '../../harness/bench/links.ts';
import { linkLanguages, rawLinks } from '../../harness/plan/links/link-languages.ts';

it('has a language for each link on which something can be sent as it is', () => {
  expect(rawLinks).toEqual(linkNames.filter((name) => links[name].messages !== null));
});

it('reads an expectation on each link on which a lamp can answer, and on no other', () => {
  for (const name of rawLinks)
    expect([name, linkLanguages[name].readExpectation !== undefined]).toEqual([
      name,
      links[name].answers !== null,
    ]);
});
