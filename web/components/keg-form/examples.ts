import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { KegForm } from './keg-form.tsx';

export const examples: readonly Example[] = [
  {
    name: 'two places',
    render: () =>
      h(KegForm, {
        keg: {
          kegId: 'left',
          name: 'Left keg',
          capacityL: 19,
          diameterMetres: 0.215,
          workingKpaGaugeMax: 900,
          placeId: 'fridge',
          supplyId: 'gas',
          batchId: null,
        },
        units: DEFAULT_UNITS,
        places: [
          { placeId: 'fridge', name: 'Garage fridge' },
          { placeId: 'cellar', name: 'Cellar' },
        ],
        supplies: [],
        onChange: () => Promise.resolve(null),
        onRemove: () => Promise.resolve(null),
      }),
  },
];
