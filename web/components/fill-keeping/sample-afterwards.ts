import type { Afterwards } from '../../../src/contract/fill.ts';

export const SAMPLE_AFTERWARDS: Afterwards = {
  fillId: 'f1',
  drinkBy: '2026-07-01T12:00:00.000Z',
  storing: [
    { text: 'Keep them cold, standing and in the dark, and drink them within 28 days.', source: null },
    { text: 'Breweries keep the oxygen in beer below 0.1 mg/L before bottling.', source: 'a vendor’s page, seen' },
  ],
  inBottle: { volumes: 2.28, low: 2.2, high: 2.49 },
  pressures: [
    { celsius: 4, kpaGauge: 75 },
    { celsius: 20, kpaGauge: 190 },
    { celsius: 30, kpaGauge: 268 },
  ],
  conditioning: { wishedVolumes: 2.5, sugar: 'sucrose', gramsPerL: 0.85, roomKpaGauge: 192 },
  keg: {
    remainingL: 14.7,
    servingKpaGauge: 66,
    advice:
      'Turn the regulator back to 0.66 bar: it holds the beer where it is. Shut the purge gas, and flush filler and line.',
  },
  cautions: ['A bottle that gets warm presses harder: keep them cold.'],
};
