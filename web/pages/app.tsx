import { useEffect } from 'preact/hooks';
import { LostBand } from '../components/lost-band/lost-band.tsx';
import { TopLine } from '../components/top-line/top-line.tsx';
import { access } from '../store/access.ts';
import { announcement } from '../store/announce.ts';
import { later } from '../store/clock.ts';
import { heard, otherVersion, view } from '../store/dashboard.ts';
import { isOpen } from '../store/episodes.ts';
import { route } from '../store/navigation.ts';
import { laterPage } from './later-page.tsx';
import { NowPage } from './now.tsx';

const keg = laterPage(async () => (await import('./keg.tsx')).KegPage);
const gasCheck = laterPage(async () => (await import('./gas-check.tsx')).GasCheckPage);
const plan = laterPage(async () => (await import('./fill-plan.tsx')).FillPlanPage);
const fill = laterPage(async () => (await import('./fill.tsx')).FillPage);
const fills = laterPage(async () => (await import('./fills.tsx')).FillsPage);
const fillRecord = laterPage(async () => (await import('./fill-record.tsx')).FillRecordPage);
const batches = laterPage(async () => (await import('./batches.tsx')).BatchesPage);
const batch = laterPage(async () => (await import('./batch.tsx')).BatchPage);
const probes = laterPage(async () => (await import('./probes.tsx')).ProbesPage);
const alerts = laterPage(async () => (await import('./alerts.tsx')).AlertsPage);
const rules = laterPage(async () => (await import('./rules.tsx')).RulesPage);
const alertHealth = laterPage(async () => (await import('./alert-health.tsx')).AlertHealthPage);
const telling = laterPage(async () => (await import('./telling.tsx')).TellingPage);
const door = laterPage(async () => (await import('./door.tsx')).DoorPage);
const settings = laterPage(async () => (await import('./settings.tsx')).SettingsPage);
const LATER = [
  keg,
  gasCheck,
  plan,
  fill,
  fills,
  fillRecord,
  batches,
  batch,
  probes,
  alerts,
  rules,
  alertHealth,
  settings,
  telling,
];
/** Late enough not to delay the first view on a slow phone. */
const FETCH_AHEAD_MS = 4_000;

/** Fetches the other pages while Quietkeg is reached: they must open when it no longer is. */
export function fetchOtherPages(): void {
  later(FETCH_AHEAD_MS, () => {
    for (const page of LATER) page.fetch().catch(() => {});
  });
}

/** Frame of every page: the top line, the band when nothing is heard, and the one live region. */
export function App() {
  if (access.value?.you === null || route.value.page === 'tablet') return <AtTheDoor />;
  return <Inside />;
}

/** Nobody is in: nothing is shown but the way in. */
function AtTheDoor() {
  useEffect(() => {
    document.title = 'Quietkeg';
  });
  return (
    <main id="page">
      <door.Page />
    </main>
  );
}

function Inside() {
  const here = route.value;
  const hearing = heard.value;
  const waiting = view.value.alerts.filter((alert) => isOpen(alert) && alert.acknowledgedAt === null);
  useEffect(() => {
    document.title = `${pageTitle()} · Quietkeg`;
  });
  return (
    <>
      <a class="jump" href="#page">
        To the page
      </a>
      {/* Wet hands at the thumb's edge must not leave the count. */}
      {here.page !== 'fill' && (
        <TopLine
          page={here.page}
          openAlerts={waiting.length}
          urgent={waiting.some((alert) => alert.level !== 'news')}
        />
      )}
      {(otherVersion.value || (hearing.kind === 'old' && hearing.said)) && (
        <LostBand sinceMs={hearing.kind === 'old' ? hearing.sinceMs : null} otherVersion={otherVersion.value} />
      )}
      <main id="page">
        <Page />
      </main>
      <p class="aside" aria-live="polite">
        {announcement.value}
      </p>
    </>
  );
}

function Page() {
  const here = route.value;
  switch (here.page) {
    case 'now':
      return <NowPage />;
    case 'keg':
      return <keg.Page key={here.kegId} kegId={here.kegId} />;
    case 'gas-check':
      return <gasCheck.Page key={here.kegId} kegId={here.kegId} />;
    case 'plan':
      return <plan.Page key={here.kegId} kegId={here.kegId} />;
    case 'fill':
      return <fill.Page key={here.kegId} kegId={here.kegId} />;
    case 'fills':
      return <fills.Page />;
    case 'fill-record':
      return <fillRecord.Page key={here.fillId} fillId={here.fillId} />;
    case 'batches':
      return <batches.Page />;
    case 'batch':
      return <batch.Page key={here.batchId} batchId={here.batchId} />;
    case 'probes':
      return <probes.Page />;
    case 'alerts':
      return <alerts.Page />;
    case 'rules':
      return <rules.Page />;
    case 'alert-health':
      return <alertHealth.Page />;
    case 'settings':
      return <settings.Page />;
    case 'telling':
      return <telling.Page />;
    case 'tablet':
      return <door.Page />;
    case 'nowhere':
      return <Nowhere path={here.path} />;
  }
}

function Nowhere({ path }: { readonly path: string }) {
  return (
    <div class="sheet">
      <h1>There is no such page</h1>
      <p>
        Nothing is at <code>{path}</code>. <a href="/">See all kegs</a>.
      </p>
    </div>
  );
}

function pageTitle(): string {
  const here = route.value;
  switch (here.page) {
    case 'now':
      return 'Now';
    case 'keg':
      return nameOf(here.kegId);
    case 'gas-check':
      return `Gas check, ${nameOf(here.kegId)}`;
    case 'plan':
      return `Bottles from ${nameOf(here.kegId)}`;
    case 'fill':
      return `Filling, ${nameOf(here.kegId)}`;
    case 'fills':
      return 'Fills';
    case 'fill-record':
      return 'Fill';
    case 'batches':
      return 'Batches';
    case 'batch':
      return 'Batch';
    case 'probes':
      return 'Probes';
    case 'alerts':
      return 'Alerts';
    case 'rules':
      return 'Rules of alerts';
    case 'alert-health':
      return 'How alerts do';
    case 'settings':
      return 'Settings';
    case 'telling':
      return 'Who is told, and how';
    case 'tablet':
      return 'This tablet';
    case 'nowhere':
      return 'No such page';
  }
}

function nameOf(kegId: string): string {
  const known = view.value.kegs.find((one) => one.kegId === kegId);
  return known?.batchName ?? known?.name ?? kegId;
}
