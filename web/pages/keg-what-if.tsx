import type { KegState } from '../../src/contract/state.ts';
import { WhatIf } from '../components/what-if/what-if.tsx';
import { askWhatIf } from '../store/actions.ts';
import { units, zone } from '../store/dashboard.ts';

/** Fetched when somebody asks: most visits to a keg's page do not. */
export function KegWhatIf({
  keg,
  workingKpaGaugeMax,
}: {
  readonly keg: KegState;
  readonly workingKpaGaugeMax: number | null;
}) {
  const shown = units.value;
  return (
    <WhatIf
      key={`${shown.temperature}-${shown.pressure}`}
      keg={keg}
      units={shown}
      zone={zone.value}
      workingKpaGaugeMax={workingKpaGaugeMax}
      ask={askWhatIf}
    />
  );
}
