import { type Content, type Html, html } from './html.ts';

/** A table whose columns have headings; rows and the sum under them are `<tr>`. */
export function table(headings: readonly Content[], rows: readonly Html[], sum?: Html): Html {
  const head = headings.map((heading) => html`<th scope="col">${heading}</th>`);
  return html`
    <table>
      <thead><tr>${head}</tr></thead>
      <tbody>${rows}</tbody>
      ${sum && html`<tfoot>${sum}</tfoot>`}
    </table>`;
}

export function row(cells: readonly Content[]): Html {
  return html`<tr>${cells.map((cell) => html`<td>${cell}</td>`)}</tr>`;
}

/** A wide table scrolls by itself, by keys too, and not the page with it. */
export function scrolling(label: string, content: Html): Html {
  return html`<div class="table" tabindex="0" role="region" aria-label="${label}">${content}</div>`;
}

/** Names and what they stand for. */
export function factList(facts: readonly (readonly [name: string, value: Content])[]): Html {
  const terms = facts.map(([name, value]) => html`<dt>${name}</dt><dd>${value}</dd>`);
  return html`<dl class="facts">${terms}</dl>`;
}

export function bulletList(items: readonly Content[], style?: string): Html {
  const entries = items.map((item) => html`<li>${item}</li>`);
  return html`<ul${style && html` class="${style}"`}>${entries}</ul>`;
}
