import { type Chart, chartPoints, type Line } from '../evidence.ts';
import type { LightCourse } from '../features/events/light-course.ts';
import { valueAt } from '../signal/samples.ts';

/** The averaged light around an instant, with the course that it would have without events. */
export function eventChart(
  light: LightCourse,
  side: 'below' | 'above',
  at: number,
  title: string,
): Chart {
  const { times, values } = light;
  const middle = times.findIndex((time) => time >= at);
  const first = Math.max(0, middle - (chartPoints >> 1));
  const last = Math.min(times.length, first + chartPoints);
  const course = side === 'below' ? light.least : light.most;
  const x = [...times.subarray(first, last)];
  const line = (name: string, role: Line['role'], y: Float64Array): Line => ({
    name,
    role,
    x,
    y: [...y.subarray(first, last)],
  });
  return {
    kind: 'waveform',
    title,
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'light', unit: light.unit, scale: 'linear' },
    lines: [line('averaged', 'measured', values), line('course', 'ideal', course)],
    marks: middle < 0 ? [] : [{ at: valueAt(times, middle), label: 'farthest from the course' }],
  };
}
