import type { Fault } from '../fault.ts';

export const previewAccepted: Fault = {
  id: 'preview-accepted',
  title: 'Preview data reaches the light',
  about: 'Packets marked as preview, which are for visualisers only, act on the lamp.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-preview'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, takesPreview: true };
  },
};
