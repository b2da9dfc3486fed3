import { inForce, type RuleInForce, type RuleName, type RuleSettings } from '../alerts/rule.ts';
import { RULES } from '../alerts/rules.ts';
import type { RuleJournal } from '../ports/journal.ts';

/** The rules as they are in force: as they ship, with what people set. */
export class RuleBook {
  readonly #journal: RuleJournal;
  readonly #settings: Map<RuleName, RuleSettings>;
  readonly #inForce = new Map<RuleName, RuleInForce>();

  constructor(journal: RuleJournal) {
    this.#journal = journal;
    this.#settings = journal.ruleSettings();
  }

  rule(name: RuleName): RuleInForce {
    const known = this.#inForce.get(name);
    if (known !== undefined) return known;
    const rule = inForce(RULES[name], this.settings(name));
    this.#inForce.set(name, rule);
    return rule;
  }

  settings(name: RuleName): RuleSettings {
    return this.#settings.get(name) ?? {};
  }

  /** Kept before it is in force. */
  set(name: RuleName, settings: RuleSettings): void {
    this.#journal.saveRuleSettings(name, settings);
    this.#settings.set(name, settings);
    this.#inForce.delete(name);
  }
}
