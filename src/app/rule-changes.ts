import {
  inForce,
  RULE_NAMES,
  type RuleInForce,
  type RuleName,
  type RuleSettings,
  type ShippedRule,
} from '../alerts/rule.ts';
import { RULES } from '../alerts/rules.ts';
import type * as contract from '../contract/index.ts';
import type { AlertDesk } from './alert-desk.ts';
import { done, type Outcome, refuse } from './outcome.ts';
import type { RuleBook } from './rule-book.ts';
import type { RuleTrials } from './rule-trial.ts';

/** What is urgent must not be held back for longer (s). */
const URGENT_DELAY_S_MAX = 600;

/** Lists rules, changes their settings, and tries them on the past. */
export class RuleChanges {
  readonly #book: RuleBook;
  readonly #desk: AlertDesk;
  readonly #trials: RuleTrials;
  readonly #nowMs: () => number;

  constructor(book: RuleBook, desk: AlertDesk, trials: RuleTrials, nowMs: () => number) {
    this.#book = book;
    this.#desk = desk;
    this.#trials = trials;
    this.#nowMs = nowMs;
  }

  list(): contract.Rule[] {
    return RULE_NAMES.map((name) => this.#present(name));
  }

  put(name: string, change: contract.RuleChange): Outcome<contract.Rule> {
    const settings = this.#changed(name, change);
    if (!settings.ok) return settings;
    const { rule } = settings.value;
    this.#book.set(rule.name, settings.value.settings);
    if (!this.#book.rule(rule.name).enabled) {
      this.#desk.endRule(rule.name, this.#nowMs(), {
        message: `The rule "${rule.title}" was switched off.`,
        advice: '',
      });
    }
    return done(this.#present(rule.name));
  }

  /** What the rule would have told of the last 30 days with these settings; switched on for it, if it is off. */
  async try(name: string, change: contract.RuleChange): Promise<Outcome<contract.RuleTrial>> {
    const settings = this.#changed(name, change);
    if (!settings.ok) return settings;
    const tried: RuleInForce = inForce(settings.value.rule, { ...settings.value.settings, enabled: true });
    return done(await this.#trials.run(tried));
  }

  #changed(
    name: string,
    { enabled, onDelayS, offDelayS, limits }: contract.RuleChange,
  ): Outcome<{ rule: ShippedRule; settings: RuleSettings }> {
    const known = RULE_NAMES.find((one) => one === name);
    if (known === undefined)
      return refuse('rule-unknown', `There is no rule ${name}; known are ${RULE_NAMES.join(', ')}.`);
    const rule = RULES[known];
    if (rule.level === 'urgent' && (onDelayS ?? 0) > URGENT_DELAY_S_MAX) {
      return refuse('body-invalid', `onDelayS: what is urgent may be held back for ${URGENT_DELAY_S_MAX} s at most`);
    }
    for (const [limit, value] of Object.entries(limits ?? {})) {
      const wrong = whyNot(rule, limit, value);
      if (wrong !== null) return refuse('body-invalid', `limits.${limit}: ${wrong}`);
    }
    const before = this.#book.settings(known);
    const settings: RuleSettings = {
      enabled: enabled ?? before.enabled,
      onDelayMs: onDelayS === undefined ? before.onDelayMs : onDelayS * 1000,
      offDelayMs: offDelayS === undefined ? before.offDelayMs : offDelayS * 1000,
      limits: { ...before.limits, ...limits },
    };
    return done({ rule, settings });
  }

  #present(name: RuleName): contract.Rule {
    const shipped = RULES[name];
    const rule = this.#book.rule(name);
    const { title, level, cause, consequence, action, timeToAct, source } = shipped;
    return {
      rule: name,
      title,
      level,
      enabled: rule.enabled,
      onDelayS: rule.onDelayMs / 1000,
      offDelayS: rule.offDelayMs / 1000,
      usualOnDelayS: shipped.onDelayMs / 1000,
      usualOffDelayS: shipped.offDelayMs / 1000,
      limits: Object.entries(shipped.limits).map(([limit, { usual, unit, low, high, what }]) => {
        return { name: limit, value: rule.limits[limit] ?? usual, usual, unit, low, high, what };
      }),
      cause,
      consequence,
      action,
      timeToAct,
      source,
    };
  }
}

function whyNot(rule: ShippedRule, limit: string, value: number): string | null {
  const names = Object.keys(rule.limits);
  const known = names.includes(limit) ? rule.limits[limit] : undefined;
  if (known === undefined) {
    return names.length === 0
      ? `${rule.name} has no limits`
      : `${rule.name} has no such limit; it has ${names.join(', ')}`;
  }
  if (value >= known.low && value <= known.high) return null;
  return `must lie between ${known.low} and ${known.high} (${known.unit})`;
}
