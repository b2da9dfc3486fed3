import { h } from 'preact';
import type { KegState } from '../../../src/contract/state.ts';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { CHECKED_KEG, FIRST_DAY_KEG, NOTICED_KEG, OVER_KEG, PARTLY_KEG } from '../sample-estimates.ts';
import { ACT_KEG, READY_KEG, UNFILLED_KEG, UNKNOWN_KEG, WAIT_KEG } from '../sample-states.ts';
import { KegRow } from './keg-row.tsx';

const row = (keg: KegState, old = false) =>
  h(
    'ul',
    { class: 'kegs' },
    h(KegRow, {
      keg,
      units: DEFAULT_UNITS,
      placeName: 'Fridge',
      oldSinceMs: old ? deviceNowMs() - 1_700_000 : null,
      ambient: false,
    }),
  );

export const examples: readonly Example[] = [
  { name: 'needs you', render: () => row(ACT_KEG) },
  { name: 'can’t tell', render: () => row(UNKNOWN_KEG) },
  { name: 'waiting', render: () => row(WAIT_KEG) },
  { name: 'ready', render: () => row(READY_KEG) },
  { name: 'first day', render: () => row(FIRST_DAY_KEG) },
  { name: 'after a gas check', render: () => row(CHECKED_KEG) },
  { name: 'partly in its window', render: () => row(PARTLY_KEG) },
  { name: 'past its window', render: () => row(OVER_KEG) },
  { name: 'something noticed', render: () => row(NOTICED_KEG) },
  { name: 'nothing said of the beer', render: () => row(UNFILLED_KEG) },
  { name: 'old', render: () => row(READY_KEG, true) },
];
