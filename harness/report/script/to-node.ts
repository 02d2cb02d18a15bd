import { type Content, isList } from '../html/markup.ts';

const svg = 'http://www.w3.org/2000/svg';

/** Markup as nodes. Text becomes text nodes, never HTML, so words of strangers stay words. */
export function toNode(content: Content, inSvg = false): Node {
  if (content === null || content === undefined || content === false)
    return document.createDocumentFragment();
  if (typeof content === 'string' || typeof content === 'number')
    return document.createTextNode(`${content}`);
  if (isList(content)) {
    const list = document.createDocumentFragment();
    for (const part of content) list.append(toNode(part, inSvg));
    return list;
  }
  const graphic = inSvg || content.tag === 'svg';
  const node = graphic
    ? document.createElementNS(svg, content.tag)
    : document.createElement(content.tag);
  for (const [name, value] of Object.entries(content.attributes)) {
    if (value === true) node.setAttribute(name, '');
    else if (value !== undefined && value !== false) node.setAttribute(name, `${value}`);
  }
  for (const part of content.content) node.append(toNode(part, graphic));
  return node;
}
