import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { html, trusted } from '../../../harness/report/html/html.ts';

const hostile = `<img src=x onerror="alert('&')">`;

describe('a template', () => {
  it('escapes text, attribute values and lists, and leaves other markup as it is', () => {
    const inner = html`<b>${hostile}</b>`;
    expect(inner.toString()).toBe(
      '<b>&lt;img src=x onerror=&quot;alert(&#39;&amp;&#39;)&quot;&gt;</b>',
    );
    expect(`${html`<i title="${hostile}">${[inner, [hostile]]}</i>`}`).not.toContain('<img');
    expect(`${html`<p>${inner}</p>`}`).toContain('<p><b>&lt;img');
    expect(`${html`<style>${trusted('a > b {}')}</style>`}`).toBe('<style>a > b {}</style>');
  });

  it('writes numbers, and nothing for what is not there', () => {
    expect(`${html`${0}|${null}|${undefined}|${false}|${''}`}`).toBe('0||||');
  });

  it('takes line breaks for layout: a space between words and attributes, none beside tags and values', () => {
    const text = html`
      <p
        class="a"
        title="b">
        one
        two
        <b>three</b>
        ${'four'}
      </p>`;
    expect(text.toString()).toBe('<p class="a" title="b">one two<b>three</b>four</p>');
    const input = html`
      <input
        ${'checked'}
        name="${'n'}">`;
    expect(input.toString()).toBe('<input checked name="n">');
  });

  it('keeps the spaces within a line', () => {
    expect(`${html`<b>${'a'}</b> ${'b'} c`}`).toBe('<b>a</b> b c');
  });
});

describe('templates of the report room', () => {
  const room = new URL('../../../harness/report', import.meta.url).pathname;
  const files = readdirSync(room, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .map((name) => ({ name, text: readFileSync(join(room, name), 'utf8') }));

  it('put every attribute value in quotes: an escaped space would end it otherwise', () => {
    const bare = files.flatMap(({ name, text }) =>
      [...text.matchAll(/(?:<\w+|")\s[^<>`]*?[a-z-]+=\$\{.*/g)].map(([line]) => `${name}: ${line}`),
    );
    expect(bare).toEqual([]);
  });

  it('trust text of their own only in the frame of a page', () => {
    const trusting = files.filter(({ text }) => /\btrusted\(|\braw\(/.test(text));
    expect(trusting.map(({ name }) => name).sort()).toEqual(['html/document.ts', 'html/html.ts']);
  });
});
