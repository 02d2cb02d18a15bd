import { html as escapingTag, raw } from 'hono/html';

/** Markup in which every word of strangers is escaped. Only `html` and `trusted` make it. */
export interface Html {
  readonly isEscaped: true;
  toString(): string;
}

/** What a template may hold; `null`, `undefined` and `false` are nothing, so that parts can be conditional. */
export type Content = Html | string | number | null | undefined | false | readonly Content[];

/**
 * The one way to write HTML here: text and attribute values are escaped (an attribute stands in double quotes). Line
 * breaks and indentation of a template are layout of the source, as in JSX: they leave a space between attributes and
 * between words, and nothing beside a tag or a value.
 */
export function html(parts: TemplateStringsArray, ...contents: readonly Content[]): Html {
  const made = escapingTag(unindented(parts), ...contents);
  // The tag waits for promises; `Content` admits none.
  if (made instanceof Promise) throw new TypeError('a template holds a promise');
  return made;
}

/** Text of our own that goes into a page as it is: a style, a script, escaped data. Never words of strangers. */
export function trusted(text: string): Html {
  return raw(text);
}

const unindentedParts = new WeakMap<TemplateStringsArray, TemplateStringsArray>();

function unindented(parts: TemplateStringsArray): TemplateStringsArray {
  const known = unindentedParts.get(parts);
  if (known) return known;
  let inTag = false;
  const short = parts.map((part) =>
    part.replace(/[<>]|\s*\n\s*/g, (found, offset: number) => {
      if (found === '<' || found === '>') {
        inTag = found === '<';
        return found;
      }
      const beside = part.charAt(offset - 1) + part.charAt(offset + found.length);
      return inTag || /^[^<>]{2}$/.test(beside) ? ' ' : '';
    }),
  );
  const made = Object.assign(short, { raw: parts.raw });
  unindentedParts.set(parts, made);
  return made;
}
