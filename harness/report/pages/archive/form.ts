import { type Content, type Html, html } from '../../html/html.ts';

export interface Field {
  readonly name: string;
  readonly label: string;
  readonly value: string;
  readonly placeholder: string;
  readonly type?: 'text' | 'search';
}

/** A search by the address: what was asked for stands in its fields. */
export function searchForm(action: string, fields: Content, button: string, note?: Html): Html {
  return html`
    <form class="asking" role="search" method="get" action="${action}">
      <div class="fields">${fields}<button class="press">${button}</button></div>
      ${note}
    </form>`;
}

export function field({ name, label, value, placeholder, type = 'text' }: Field): Html {
  return html`
    <label${type === 'search' && html` class="search"`}>
      <span>${label}</span>
      <input name="${name}" value="${value}" placeholder="${placeholder}" autocomplete="off" type="${type}">
    </label>`;
}

/** One of several; what was asked for stays to be seen, even where nothing has it. */
export function choice(
  name: string,
  label: string,
  chosen: string,
  options: readonly string[],
): Html {
  const all = chosen === '' || options.includes(chosen) ? options : [chosen, ...options];
  return html`
    <label>
      <span>${label}</span>
      <select name="${name}">
        <option value="">any</option>
        ${all.map((option) => chosenOption(option, option === chosen))}
      </select>
    </label>`;
}

export function chosenOption(option: string, isChosen: boolean): Html {
  return html`<option value="${option}"${isChosen && ' selected'}>${option}</option>`;
}
