/** What an element may hold; `null`, `false` and `undefined` are nothing, so that parts can be conditional. */
export type Content = Markup | string | number | null | undefined | false | readonly Content[];

/** One element, as data: the page's builder writes it as text, the page's script as nodes of the document. */
export interface Markup {
  readonly tag: string;
  readonly attributes: Readonly<Record<string, string | number | boolean | undefined>>;
  readonly content: readonly Content[];
}

export function element(
  tag: string,
  attributes: Markup['attributes'] = {},
  ...content: Content[]
): Markup {
  return { tag, attributes, content };
}

/** Elements that have no end tag. */
const empty = new Set(['br', 'hr', 'input', 'meta', 'link', 'img', 'col']);

/** Markup as HTML text. All text and all attribute values are escaped: there is no way to pass tags through. */
export function toHtml(content: Content): string {
  if (content === null || content === undefined || content === false) return '';
  if (typeof content === 'string' || typeof content === 'number') return escapeHtml(`${content}`);
  if (isList(content)) return content.map(toHtml).join('');
  const attributes = Object.entries(content.attributes)
    .map(([name, value]) => attributeText(name, value))
    .join('');
  const open = `<${content.tag}${attributes}>`;
  return empty.has(content.tag)
    ? open
    : `${open}${content.content.map(toHtml).join('')}</${content.tag}>`;
}

export function isList(content: Content): content is readonly Content[] {
  return Array.isArray(content);
}

function attributeText(name: string, value: string | number | boolean | undefined): string {
  if (value === undefined || value === false) return '';
  return value === true ? ` ${name}` : ` ${name}="${escapeHtml(`${value}`)}"`;
}

export function escapeHtml(text: string): string {
  return text
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/>/g, '&gt;')
    .replace(/"/g, '&quot;')
    .replace(/'/g, '&#39;');
}
