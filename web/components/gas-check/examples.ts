import { h } from 'preact';
import type { GasCheckReport } from '../../../src/contract/gas-check.ts';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { Before } from './before.tsx';
import { Results } from './results.tsx';
import { Running } from './running.tsx';
import { REPORTS } from './sample-reports.ts';

const before = (report: GasCheckReport, workingKpaGaugeMax: number | null = 900) =>
  h(Before, { report, units: DEFAULT_UNITS, workingKpaGaugeMax, onStart: () => Promise.resolve(null) });

const running = (report: GasCheckReport) =>
  report.running === null
    ? null
    : h(Running, {
        running: report.running,
        beer: report.batchId !== null,
        target: { low: 2.3, high: 2.6 },
        liveKpaGauge: report.running.kpaGaugeNow,
        units: DEFAULT_UNITS,
        onEnd: () => Promise.resolve(null),
      });

export const examples: readonly Example[] = [
  { name: 'before', render: () => before(REPORTS.first) },
  { name: 'before, without a probe', render: () => before(REPORTS.noProbe, null) },
  { name: 'before, without beer', render: () => before(REPORTS.empty) },
  { name: 'just begun', render: () => running(REPORTS.started) },
  { name: 'running', render: () => running(REPORTS.running) },
  { name: 'enough, and a leak', render: () => running(REPORTS.enough) },
  { name: 'too early to say if it is tight', render: () => running(REPORTS.early) },
  { name: 'tight', render: () => running(REPORTS.tight) },
  { name: 'leaking', render: () => running(REPORTS.leaking) },
  { name: 'results', render: () => h(Results, { results: REPORTS.before.results, units: DEFAULT_UNITS }) },
];
