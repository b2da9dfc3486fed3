import { h } from 'preact';
import type { KeptEvent } from '../../../src/contract/event.ts';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { EventLog } from './event-log.tsx';

const event = (eventId: string, kind: KeptEvent['kind'], hoursAgo: number, more = {}): KeptEvent => {
  const at = new Date(deviceNowMs() - hoursAgo * 3_600_000).toISOString();
  return { eventId, kind, at, enteredAt: at, kegId: 'left', ...more };
};

const shown = (events: readonly KeptEvent[], filledHoursAgo: number | null = null) =>
  h(EventLog, {
    events,
    filledAtMs: filledHoursAgo === null ? null : deviceNowMs() - filledHoursAgo * 3_600_000 - 60_000,
    units: DEFAULT_UNITS,
    defaults: {
      zone: 'Europe/Vienna',
      nowMs: deviceNowMs,
      placeId: 'fridge',
      supplyId: 'gas',
      placeName: 'Garage fridge',
      supplyName: 'Gas',
      window: { windowFrom: '2.30', windowTo: '2.60', fillAt: '2.0' },
    },
    onEnter: () => Promise.resolve(null),
    onWithdraw: () => Promise.resolve(null),
  });

export const examples: readonly Example[] = [
  { name: 'nothing entered', render: () => shown([]) },
  {
    name: 'some days',
    render: () =>
      shown(
        [
          event('1', 'keg-filled', 140, { beerLitres: 18.4 }),
          event('2', 'headspace-purged', 139, { times: 5 }),
          event('3', 'target-set', 139, { volumes: 2.45, tolerance: 0.15, celsius: 2 }),
          event('4', 'regulator-set', 60, { kpaGauge: 62, supply: 'gas' }),
          event('5', 'note', 4, { text: 'The door stood open overnight.' }),
          event('6', 'fridge-set', 300, { celsius: 2, place: 'fridge' }),
        ],
        140,
      ),
  },
];
