import { afterEach, expect, it } from 'vitest';
import { requestOf, rigAt, submitted } from './lab-files.ts';
import { OpenLab } from './open-lab.ts';

let lab: OpenLab;
afterEach(() => lab.close());

async function opened(): Promise<string> {
  lab = await OpenLab.open();
  await rigAt(lab, 'left');
  const dora = await lab.token('dora', 'submit');
  // Its inputs are here from now on.
  await submitted(lab, dora);
  return dora;
}

const nightly = { name: 'nightly', cron: '30 2 * * *', zone: 'Europe/Vienna' };

async function builds(): Promise<readonly string[]> {
  const rows = await lab.lab.database.query<{ build: string }>(
    'select build from lab.submission order by place',
  );
  return rows.map(({ build }) => build);
}

it('is kept with its next time, in its own zone', async () => {
  const dora = await opened();
  const { status } = await lab.ask(dora, 'POST', '/api/schedules', {
    ...{ ...nightly, request: requestOf() },
  });
  expect(status).toBe(200);
  const { said } = await lab.ask(dora, 'GET', '/api/schedules');
  const [listed] = said['schedules'] as { next: string }[];
  expect(listed).toMatchObject({ ...nightly, by: 'dora', last: null });
  // 2:30 in Vienna is 1:30 or 0:30 in UTC.
  expect(listed?.next).toMatch(/T0[01]:30:00/);
  const known = await lab.lab.database.query(
    "select cron, timezone from lab_queue.schedule where name <> 'clearing'",
  );
  expect(known).toMatchObject([{ cron: '30 2 * * *', timezone: 'Europe/Vienna' }]);
});

it('submits when the queue says that it is time, with the day in the name of the build', async () => {
  const dora = await opened();
  const request = requestOf({ build: 'nightly-{date}' });
  await lab.ask(dora, 'POST', '/api/schedules', { ...nightly, request });
  // What the queue does at its minute.
  await lab.lab.database.query(
    `insert into lab_queue.job (name, data) values ('schedule-nightly', '{"schedule":"nightly"}')`,
  );
  await expect.poll(builds, { timeout: 15_000 }).toHaveLength(2);
  expect((await builds())[1]).toMatch(/^nightly-\d{4}-\d\d-\d\d$/);
});

it('submits nothing for somebody whose token was taken away, and says so', async () => {
  const dora = await opened();
  await lab.ask(dora, 'POST', '/api/schedules', { ...nightly, request: requestOf() });
  await lab.lab.access.revoke('dora');
  await lab.lab.schedules.submit('nightly');
  expect(await builds()).toHaveLength(1);
  const [listed] = await lab.lab.schedules.list();
  expect(listed?.why).toBe('the token of dora was taken away');
  expect(lab.errors.join()).toContain('the schedule nightly submitted nothing');
});

it.each([
  ['a time of no field', { cron: 'nightly' }],
  ['an hour that no day has', { cron: '0 25 * * *' }],
  ['seconds', { cron: '0 30 2 * * *' }],
  ['a zone that is none', { zone: 'Mars/Olympus' }],
  ['a name with a path', { name: '../nightly' }],
])('is refused with %s', async (_what, more) => {
  const dora = await opened();
  const body = { ...nightly, ...more, request: requestOf() };
  expect((await lab.ask(dora, 'POST', '/api/schedules', body)).status).toBe(422);
  expect(await lab.lab.schedules.list()).toEqual([]);
});

it('is changed and ended by its owner and by an administrator alone', async () => {
  const dora = await opened();
  const emil = await lab.token('emil', 'submit');
  const admin = await lab.token('anna', 'administer');
  await lab.ask(dora, 'POST', '/api/schedules', { ...nightly, request: requestOf() });
  const taken = await lab.ask(emil, 'POST', '/api/schedules', { ...nightly, request: requestOf() });
  expect(taken.status).toBe(409);
  const at = '/api/schedules/nightly/remove';
  expect((await lab.ask(emil, 'POST', at, {})).status).toBe(404);
  const changed = { ...nightly, cron: '0 3 * * *', request: requestOf() };
  expect((await lab.ask(dora, 'POST', '/api/schedules', changed)).status).toBe(200);
  expect((await lab.lab.schedules.list())[0]?.cron).toBe('0 3 * * *');
  expect((await lab.ask(admin, 'POST', at, {})).status).toBe(200);
  expect(await lab.lab.schedules.list()).toEqual([]);
  expect(
    await lab.lab.database.query("select name from lab_queue.schedule where name <> 'clearing'"),
  ).toEqual([]);
});
