import { uptime } from 'node:os';
import { workerData } from 'node:worker_threads';
import { beatEvery, OwnPulse } from './pulse.ts';
import { type HeartData, heartPlaces, hungAfter } from './rig-guard.ts';

/**
 * The heart of a rig run: a thread of its own, so that the pulse goes on while the main thread judges a long record. It
 * stops where the main thread has given no sign of life for `hungAfter` seconds, and notes its own longest pause.
 */
const { file, shared } = workerData as HeartData;
const places = new Float64Array(shared);
const pulse = new OwnPulse(file);

setInterval(() => {
  const now = uptime();
  const gap = now - (places[heartPlaces.lastBeat] ?? now);
  places[heartPlaces.longestGap] = Math.max(places[heartPlaces.longestGap] ?? 0, gap);
  places[heartPlaces.lastBeat] = now;
  if (now - (places[heartPlaces.mainAlive] ?? now) < hungAfter) pulse.beat();
}, beatEvery);
