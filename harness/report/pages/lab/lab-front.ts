import { type Html, html } from '../../html/html.ts';
import type { LabState } from './lab-state.ts';
import { livePart } from './live-part.ts';
import { rigList } from './rig-list.ts';
import { scheduleTable } from './schedule-table.ts';
import { endedList, queueList } from './submission-list.ts';

/** What a lab does now, what waits, what has ended, and what comes by itself. It reads without a script; with it, it follows the lab. */
export function labFront(state: LabState): Html {
  return livePart({ at: state.at }, labSections(state));
}

/** The part of it that follows the lab. */
export function labSections({ rigs, submissions, schedules }: LabState): Html {
  return html`
    <section><h2>Rigs</h2>${rigList(rigs, submissions)}</section>
    <section><h2>Under way and waiting</h2>${queueList(submissions)}</section>
    <section><h2>Ended</h2>${endedList(submissions)}</section>
    <section><h2>Schedules</h2>${scheduleTable(schedules)}</section>`;
}
