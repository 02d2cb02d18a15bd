import { Hono } from 'hono';
import { mustHave, personRoles } from '../../lab/access/access.ts';
import type { Lab } from '../../lab/lab.ts';
import { labFigures } from '../../lab/lab-figures.ts';
import { renderLabMetrics } from '../../report/exchange/lab-metrics.ts';
import { openMetricsType } from '../../report/exchange/metric-families.ts';
import { bearer, type Served } from './who.ts';

/** What monitoring reads, with the token of a person. */
export function labMetrics(lab: Lab): Hono<Served> {
  const figures = labFigures(lab);
  const app = new Hono<Served>();
  app.use(bearer(lab));
  app.get('/', async (c) => {
    mustHave(c.get('holder'), ...personRoles);
    return c.body(renderLabMetrics(await figures()), 200, { 'Content-Type': openMetricsType });
  });
  return app;
}
