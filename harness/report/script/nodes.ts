import type { Content } from '../html/html.ts';
import { html } from '../html/html.ts';

/** Markup as nodes of the document. Words of strangers are escaped in it, so they stay words. */
export function toNodes(content: Content): DocumentFragment {
  const template = document.createElement('template');
  template.innerHTML = html`${content}`.toString();
  return template.content;
}

/** The one element that some markup is. Throws where it is none: a mistake in this program. */
export function toElement(content: Content): HTMLElement {
  const element = toNodes(content).firstElementChild;
  if (!(element instanceof HTMLElement)) throw new TypeError('the markup is no HTML element');
  return element;
}

/** The element that a page is known to have. Throws where it has not: page and script are not of one build. */
export function part<Kind extends Element = HTMLElement>(
  within: ParentNode,
  selector: string,
): Kind {
  const found = within.querySelector<Kind>(selector);
  if (!found) throw new TypeError(`the page has no ${selector}`);
  return found;
}
