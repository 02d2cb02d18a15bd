import MiniSearch from 'minisearch';
import type { Section } from '../sections.ts';

declare global {
  var siteSections: readonly Section[] | undefined;
}

/** Hits that are shown. */
const most = 20;
/** Characters of the text around the first word found. */
const excerpt = 160;

const form = document.querySelector<HTMLFormElement>('form[role=search]');
const input = form?.querySelector('input');
const found = document.querySelector<HTMLElement>('#found');
if (form && input && found) {
  const root = form.dataset['root'] ?? '.';
  let index: MiniSearch<Section> | null = null;
  form.hidden = false;
  form.addEventListener('submit', (event) => event.preventDefault());
  input.addEventListener('focus', () => loadSections(root), { once: true });
  const search = (): void => {
    index ??= indexOf(globalThis.siteSections);
    if (index) show(found, input.value.trim(), index, root);
  };
  input.addEventListener('input', () => {
    void loadSections(root).then(search);
  });
}

let loading: Promise<void> | null = null;

/** As a script, since a page that was opened from disk may not fetch a file. */
function loadSections(root: string): Promise<void> {
  loading ??= new Promise((resolve) => {
    const script = document.createElement('script');
    script.src = `${root}/search-sections.js`;
    script.onload = () => resolve();
    document.head.append(script);
  });
  return loading;
}

function indexOf(sections: readonly Section[] | undefined): MiniSearch<Section> | null {
  if (!sections) return null;
  const index = new MiniSearch<Section>({
    fields: ['heading', 'page', 'text'],
    storeFields: ['heading', 'page', 'text'],
    searchOptions: {
      boost: { heading: 4, page: 2 },
      prefix: true,
      fuzzy: 0.15,
      combineWith: 'AND',
    },
  });
  index.addAll(sections);
  return index;
}

function show(found: HTMLElement, words: string, index: MiniSearch<Section>, root: string): void {
  found.hidden = words === '';
  if (words === '') return;
  const hits = index.search(words);
  const line = document.createElement('p');
  line.textContent =
    hits.length === 0
      ? `Nothing about “${words}”: try fewer or other words.`
      : `${Math.min(hits.length, most)} of ${hits.length} places with “${words}”`;
  const list = document.createElement('ol');
  for (const hit of hits.slice(0, most)) {
    const item = document.createElement('li');
    const link = document.createElement('a');
    link.href = `${root}/${hit.id}`;
    link.textContent =
      hit['page'] === hit['heading'] ? hit['page'] : `${hit['page']}: ${hit['heading']}`;
    // A place on this very page: what was found makes way for it.
    link.addEventListener('click', () => {
      found.hidden = true;
    });
    const text = document.createElement('span');
    text.textContent = around(hit['text'], hit.terms[0] ?? words);
    item.append(link, text);
    list.append(item);
  }
  found.replaceChildren(line, list);
}

function around(text: string, word: string): string {
  const at = Math.max(0, text.toLowerCase().indexOf(word.toLowerCase()) - excerpt / 4);
  const from = at === 0 ? 0 : text.indexOf(' ', at) + 1;
  const part = text.slice(from, from + excerpt);
  return `${from > 0 ? '… ' : ''}${part}${from + excerpt < text.length ? ' …' : ''}`;
}
