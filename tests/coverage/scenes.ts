import { colourScenes } from './colour-scenes.ts';
import { controlScenes } from './control-scenes.ts';
import { currentScenes } from './current-scenes.ts';
import { eventScenes } from './event-scenes.ts';
import { fadeScenes } from './fade-scenes.ts';
import { flickerScenes } from './flicker-scenes.ts';
import { levelScenes } from './level-scenes.ts';
import { mainsScenes } from './mains-scenes.ts';
import { modelScenes } from './model-scenes.ts';
import type { MakeScene } from './scene.ts';

/** The rows of the table: the metric's id, then what is special to the scene. */
export const scenes: Readonly<Record<string, MakeScene>> = {
  ...levelScenes,
  ...eventScenes,
  ...colourScenes,
  ...fadeScenes,
  ...flickerScenes,
  ...currentScenes,
  ...mainsScenes,
  ...controlScenes,
  ...modelScenes,
};
