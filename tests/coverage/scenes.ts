import { currentScenes } from './current-scenes.ts';
import { fadeScenes } from './fade-scenes.ts';
import { flickerScenes } from './flicker-scenes.ts';
import { levelScenes } from './level-scenes.ts';
import { mainsScenes } from './mains-scenes.ts';
import type { MakeScene } from './scene.ts';

/** The rows of the table: the metric's id, then what is special to the scene. */
export const scenes: Readonly<Record<string, MakeScene>> = {
  ...levelScenes,
  ...fadeScenes,
  ...flickerScenes,
  ...currentScenes,
  ...mainsScenes,
};
