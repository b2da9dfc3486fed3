import { useEffect } from 'preact/hooks';
import type { Rule } from '../../src/contract/alert.ts';
import { RuleRow } from '../components/rule-row/rule-row.tsx';
import type { TrialEpisode } from '../components/rule-row/trial-words.ts';
import { GROUPS } from '../components/rule-row/words.ts';
import { ALERT_PAGES } from '../components/sub-pages/of-alerts.ts';
import { SubPages } from '../components/sub-pages/sub-pages.tsx';
import { keepRule, type RuleEntry, tryRule } from '../store/actions.ts';
import type { Trouble } from '../store/api.ts';
import { places, supplies, units, view } from '../store/dashboard.ts';
import { resource } from '../store/resource.ts';
import { RULES_PATH } from '../store/routes.ts';
import '../styles/lists.css';

const rules = resource<{ rules: Rule[] }>('/rules');

/** Every rule of alerts in words, with its settings. */
export function RulesPage() {
  useEffect(() => void rules.load(), []);
  const list = rules.value.value?.rules ?? null;
  return (
    <div class="sheet lists">
      <h1>Rules of alerts</h1>
      <SubPages label="About alerts" here={RULES_PATH} pages={ALERT_PAGES} />
      <p class="note opening">
        What Quietkeg looks out for while you do not. Each rule can be set otherwise, and tried on the last 30 days
        before you keep it.
      </p>
      {list === null ? (
        <p class="note">{rules.trouble.value?.detail ?? 'Asking for the rules.'}</p>
      ) : (
        <div class="parts">
          <div>{GROUPS.slice(0, 2).map((group) => shownGroup(group, list))}</div>
          <div>{GROUPS.slice(2).map((group) => shownGroup(group, list))}</div>
        </div>
      )}
    </div>
  );
}

function shownGroup({ heading, rules: names }: (typeof GROUPS)[number], list: readonly Rule[]) {
  const id = `h-${names[0]}`;
  return (
    <section class="part" aria-labelledby={id} key={heading}>
      <header>
        <h2 id={id}>{heading}</h2>
      </header>
      {heading === 'The air of the room' && (
        <p class="note">
          Quietkeg is no safety device. Where CO2 can gather, hang a certified alarm that sounds by itself, and keep to
          the rules and codes of your place. These limits can be lowered, not raised.
        </p>
      )}
      <ul class="rows">
        {list
          .filter(({ rule }) => names.includes(rule))
          .map((rule) => (
            <RuleRow
              key={rule.rule}
              rule={rule}
              units={units.value}
              subject={subjectOf}
              onTry={(entry) => tryRule(rule.rule, entry)}
              onKeep={(entry) => keep(rule, entry)}
            />
          ))}
      </ul>
    </section>
  );
}

async function keep(rule: Rule, entry: RuleEntry): Promise<Trouble | null> {
  const trouble = await keepRule(rule.rule, entry);
  if (trouble === null) await rules.load();
  return trouble;
}

/** What an episode is of, as people call it. */
function subjectOf({ kegId, target }: Pick<TrialEpisode, 'kegId' | 'target'>): string {
  const keg = view.value.kegs.find((one) => one.kegId === (kegId ?? target));
  if (keg !== undefined) return keg.batchName === null ? keg.name : `${keg.name}, ${keg.batchName}`;
  const place = places.value.find(({ placeId }) => placeId === target);
  return place?.name ?? supplies.value.find(({ supplyId }) => supplyId === target)?.name ?? kegId ?? target;
}
