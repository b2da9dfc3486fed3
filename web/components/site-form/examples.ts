import { h } from 'preact';
import type { Site } from '../../../src/contract/catalogue.ts';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { SiteForm, UnitsForm } from './site-form.tsx';

const site: Site = { altitudeM: 0, altitudeAssumed: true, timeZone: 'Europe/Vienna', line: null, units: DEFAULT_UNITS };
const onChange = () => Promise.resolve(null);
const zones = ['Europe/Vienna', 'Europe/Lisbon'];

export const examples: readonly Example[] = [
  { name: 'altitude assumed', render: () => h(SiteForm, { site, zones, barometerKpaAbsolute: null, onChange }) },
  {
    name: 'altitude set',
    render: () =>
      h(SiteForm, {
        site: { ...site, altitudeM: 240, altitudeAssumed: false },
        zones,
        barometerKpaAbsolute: null,
        onChange,
      }),
  },
  {
    name: 'a barometer is heard',
    render: () =>
      h(SiteForm, {
        site: { ...site, altitudeM: 240, altitudeAssumed: false },
        zones,
        barometerKpaAbsolute: 98.6,
        onChange,
      }),
  },
  { name: 'units', render: () => h(UnitsForm, { units: DEFAULT_UNITS, onChange }) },
];
