import { createAdaptorServer } from '@hono/node-server';
import { Hono } from 'hono';
import { html, raw } from 'hono/html';
import type { Lamp } from '../../../harness/bench/lamp.ts';
import { fadeLine, setLine } from '../../console/command-line.ts';
import type { LampConsole } from './lamp-console.ts';

/** What the page posts: per cent and seconds, as people read them. */
interface Wish {
  readonly level: number;
  readonly fade: number;
  readonly channels: Readonly<Record<string, number>>;
}

/** A lamp's own web page: level, mix and fade; what it says of them goes to the firmware as console lines. */
export function lampPage(lamp: Lamp, console: LampConsole): ReturnType<typeof createAdaptorServer> {
  const names = lamp.channels.map(({ channel }) => channel);
  let shown: Wish = { level: 0, fade: 0, channels: Object.fromEntries(names.map((n) => [n, 100])) };
  const app = new Hono();
  app.get('/', (context) => context.html(page(lamp, names)));
  app.get('/state', (context) => context.json(shown));
  app.post('/light', async (context) => {
    const wish = readWish(await context.req.json().catch(() => null), names);
    if (!wish)
      return context.json({ reply: 'refused: per cent 0 to 100, seconds 0 to 86400' }, 400);
    const ratios = names.map((name) => [name, (wish.channels[name] ?? 0) / 100] as const);
    const target = { level: wish.level / 100, intensities: Object.fromEntries(ratios) };
    const line =
      wish.fade > 0
        ? fadeLine(console.link, names, target, wish.fade)
        : setLine(console.link, names, target);
    const reply = await console.ask(line);
    if (reply === console.link.ok) shown = wish;
    return context.json({ reply: reply ?? 'no answer' }, reply === null ? 504 : 200);
  });
  app.post('/off', async (context) => {
    const reply = await console.ask(console.link.off);
    if (reply === console.link.ok) shown = { ...shown, level: 0 };
    return context.json({ reply: reply ?? 'no answer' }, reply === null ? 504 : 200);
  });
  return createAdaptorServer({ fetch: app.fetch });
}

function readWish(body: unknown, names: readonly string[]): Wish | null {
  const { level, fade, channels } = (body ?? {}) as Partial<Wish>;
  const inPercent = (value: unknown): value is number =>
    typeof value === 'number' && value >= 0 && value <= 100;
  if (!inPercent(level) || typeof fade !== 'number' || !(fade >= 0 && fade <= 86_400)) return null;
  if (!channels || !names.every((name) => inPercent(channels[name]))) return null;
  return { level, fade, channels };
}

function page({ lamp, about }: Lamp, names: readonly string[]) {
  const percent = (id: string, label: string, value: number) =>
    html`<label for="${id}">${label}</label>
      <input id="${id}" type="number" min="0" max="100" step="any" value="${value}" /> %`;
  return html`<!doctype html>
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <title>${lamp}</title>
        <style>
          body { font: 16px/1.5 system-ui, sans-serif; max-width: 32rem; margin: 2rem auto; padding: 0 1rem; }
          form { display: grid; grid-template-columns: max-content 1fr max-content; gap: 0.5rem; }
          .last { grid-column: 1 / -1; }
        </style>
      </head>
      <body>
        <h1>${lamp}</h1>
        <p>${about}. A simulated lamp.</p>
        <form id="light">
          ${percent('level', 'Level', 0)}
          ${names.map((name) => percent(`channel-${name}`, name, 100))}
          <label for="fade">Fade</label>
          <input id="fade" type="number" min="0" step="any" value="0" /> s
          <div class="last">
            <button id="apply" type="submit">Apply</button>
            <button id="off" type="button">Off</button>
          </div>
        </form>
        <p>Lamp says: <output id="status"></output></p>
        <script>
          const field = (id) => document.getElementById(id);
          const post = async (path, body) => {
            field('status').textContent = '…';
            const answer = await fetch(path, { method: 'POST', body: JSON.stringify(body) });
            field('status').textContent = (await answer.json()).reply;
          };
          const names = ${raw(JSON.stringify(names))};
          field('light').addEventListener('submit', (event) => {
            event.preventDefault();
            const channels = Object.fromEntries(
              names.map((name) => [name, field('channel-' + name).valueAsNumber]),
            );
            const level = field('level').valueAsNumber;
            post('/light', { level, fade: field('fade').valueAsNumber, channels });
          });
          field('off').addEventListener('click', () => post('/off', {}));
          fetch('/state').then(async (answer) => {
            const { level, channels } = await answer.json();
            field('level').value = level;
            for (const name of names) field('channel-' + name).value = channels[name];
          });
        </script>
      </body>
    </html>`;
}
