import { useEffect, useMemo } from 'preact/hooks';
import type { KegState } from '../../src/contract/state.ts';
import { Before } from '../components/gas-check/before.tsx';
import { Results } from '../components/gas-check/results.tsx';
import { Running } from '../components/gas-check/running.tsx';
import { Values } from '../components/keg-row/keg-row.tsx';
import type { Trouble } from '../store/api.ts';
import { serviceMinute } from '../store/clock.ts';
import { heard, units, view } from '../store/dashboard.ts';
import { beginGasCheck, endGasCheck, type GasCheck, gasCheck } from '../store/gas-check.ts';
import { pathOfKeg } from '../store/routes.ts';
import '../styles/lists.css';
import { NoKeg } from './no-keg.tsx';

/** The gas check of one keg, from "what is it for" to what it found. Made for a phone at the fridge. */
export function GasCheckPage({ kegId }: { readonly kegId: string }) {
  const keg = view.value.kegs.find((one) => one.kegId === kegId && one.adopted);
  if (keg !== undefined) return <Known keg={keg} />;
  return <NoKeg kegId={kegId} />;
}

function Known({ keg }: { readonly keg: KegState }) {
  const check = useMemo(() => gasCheck(keg.kegId), [keg.kegId]);
  useEffect(() => check.start(), [check]);
  const old = heard.value.kind === 'old';
  return (
    <div class="sheet gas-check">
      <p class="name back">
        <a href={pathOfKeg(keg.kegId)}>‹ {keg.batchName ?? keg.name}</a>{' '}
        <span class="note">
          <Values keg={keg} units={units.value} old={old} />
        </span>
      </p>
      <h1>Gas check</h1>
      <Stage keg={keg} check={check} />
    </div>
  );
}

/** A result this young is shown first. */
const FRESH_MS = 3_600_000;

function Stage({ keg, check }: { readonly keg: KegState; readonly check: GasCheck }) {
  const report = check.report.value;
  const trouble = check.trouble.value;
  if (report === null) {
    return <p class="loading">{trouble?.detail ?? 'Asking how long a check would be worth it.'}</p>;
  }
  const then = async (change: Promise<Trouble | null>): Promise<Trouble | null> => {
    const told = await change;
    await check.load();
    return told;
  };
  const { running } = report;
  const results = <Results results={report.results} units={units.value} />;
  // What was found just now is what somebody came back for.
  const endedAt = report.results[0]?.endedAt;
  const foundNow = running === null && endedAt !== undefined && serviceMinute.value - Date.parse(endedAt) < FRESH_MS;
  return (
    <>
      {trouble !== null && <p class="note">{trouble.detail}</p>}
      {foundNow && results}
      {running === null ? (
        <Before
          key="before"
          report={report}
          units={units.value}
          workingKpaGaugeMax={check.details.value?.workingKpaGaugeMax ?? null}
          onStart={(shaken) => then(beginGasCheck(keg.kegId, shaken))}
        />
      ) : (
        <Running
          key="running"
          running={running}
          beer={report.batchId !== null}
          target={keg.target}
          liveKpaGauge={keg.headspaceKpaGauge}
          units={units.value}
          onEnd={(gas) => then(endGasCheck(keg.kegId, gas))}
        />
      )}
      {!foundNow && results}
    </>
  );
}
