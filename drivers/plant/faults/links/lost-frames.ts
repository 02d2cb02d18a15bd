import { scatter } from '../../random.ts';
import type { Fault } from '../fault.ts';

export const lostFrames: Fault = {
  id: 'lost-frames',
  title: 'Frames get lost on the bus',
  about: 'Some DALI frames never reach the lamp.',
  family: 'links',
  size: { nominal: 0.2, unit: '1', about: 'fraction of frames lost' },
  sizes: [0.01, 0.05, 0.2],
  caughtBy: ['dali-frames-arrive', 'dali-answers', 'dali-scenes'],
  needs: { links: ['dali'] },
  apply(model, size) {
    const { loses: before } = model.links;
    model.links = {
      ...model.links,
      loses: (index, link) => before(index, link) || (link === 'dali' && scatter(index) < size),
    };
  },
};
