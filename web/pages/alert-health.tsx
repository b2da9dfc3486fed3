import { useEffect } from 'preact/hooks';
import type { AlertHealth, Rule } from '../../src/contract/alert.ts';
import { AlertHealthReport } from '../components/alert-health/alert-health.tsx';
import { ALERT_PAGES } from '../components/sub-pages/of-alerts.ts';
import { SubPages } from '../components/sub-pages/sub-pages.tsx';
import { followEvery } from '../store/clock.ts';
import { resource } from '../store/resource.ts';
import { ALERT_HEALTH_PATH } from '../store/routes.ts';
import '../styles/lists.css';

const health = resource<AlertHealth>('/alerts/health');
const rules = resource<{ rules: Rule[] }>('/rules');
const EVERY_MS = 60_000;

/** Whether the alerts themselves are well: too loud, stuck, or heard by nobody. */
export function AlertHealthPage() {
  useEffect(() => {
    void rules.load();
    return followEvery(EVERY_MS, () => void health.load());
  }, []);
  const titles = new Map(rules.value.value?.rules.map(({ rule, title }) => [rule, title]));
  const known = health.value.value;
  return (
    <div class="sheet lists">
      <h1>How alerts do</h1>
      <SubPages label="About alerts" here={ALERT_HEALTH_PATH} pages={ALERT_PAGES} />
      {known === null ? (
        <p class="note">{health.trouble.value?.detail ?? 'Asking how much was told.'}</p>
      ) : (
        <AlertHealthReport health={known} titleOf={(rule) => titles.get(rule) ?? rule} />
      )}
    </div>
  );
}
