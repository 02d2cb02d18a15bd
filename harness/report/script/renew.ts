import type { Content } from '../html/html.ts';
import { toNodes } from './nodes.ts';

/**
 * Makes the content of an element what `content` says, and touches only what differs: whoever reads or has the focus there keeps
 * their place. Elements with a `data-key` are the same wherever they stand; what the reader unfolded stays so.
 */
export function renew(place: Element, content: Content): void {
  const focused = document.activeElement;
  renewChildren(place, toNodes(content));
  if (!(focused instanceof HTMLElement) || focused === document.activeElement) return;
  // An element that is moved loses the focus, and one that left its list stands in another now.
  const again = focused.isConnected ? focused : inOtherList(place, focused);
  again?.focus({ preventScroll: true });
}

function inOtherList(place: Element, gone: HTMLElement): HTMLElement | null {
  const key = keyOf(gone.closest('[data-key]'));
  if (key === undefined) return null;
  return place.querySelector(`[data-key="${CSS.escape(key)}"] :is(a, summary)`);
}

function renewChildren(place: Node, made: Node): void {
  const known = [...place.childNodes];
  for (const [k, next] of [...made.childNodes].entries()) {
    const index = known.findIndex((node) => isSame(node, next));
    const [old = next] = index < 0 ? [] : known.splice(index, 1);
    if (place.childNodes[k] !== old) place.insertBefore(old, place.childNodes[k] ?? null);
    if (old !== next) renewNode(old, next);
  }
  for (const node of known) node.parentNode?.removeChild(node);
}

/** The same thing as it was before, perhaps with other content. */
function isSame(old: Node, next: Node): boolean {
  return old.nodeName === next.nodeName && keyOf(old) === keyOf(next);
}

function keyOf(node: Node | null): string | undefined {
  return node instanceof HTMLElement ? node.dataset['key'] : undefined;
}

function renewNode(old: Node, next: Node): void {
  if (old.isEqualNode(next)) return;
  if (!(old instanceof Element && next instanceof Element)) {
    old.nodeValue = next.nodeValue;
    return;
  }
  for (const { name } of [...old.attributes])
    if (!next.hasAttribute(name) && !isOfReader(old, name)) old.removeAttribute(name);
  for (const { name, value } of next.attributes)
    if (old.getAttribute(name) !== value) old.setAttribute(name, value);
  renewChildren(old, next);
}

function isOfReader(element: Element, attribute: string): boolean {
  return element.nodeName === 'DETAILS' && attribute === 'open';
}
