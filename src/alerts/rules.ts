import { inForce, type RuleInForce, type RuleName, type RuleSource, type ShippedRule } from './rule.ts';
import { BEER_RULES } from './rules-of-beer.ts';
import { GAS_RULES } from './rules-of-gas.ts';
import { PROBE_RULES } from './rules-of-probes.ts';

/** Every rule as it ships. */
export const RULES: Readonly<Record<RuleName, ShippedRule>> = { ...BEER_RULES, ...GAS_RULES, ...PROBE_RULES };

/** The rules as they ship, in force. */
export const usualRule: RuleSource = (name: RuleName): RuleInForce => inForce(RULES[name], {});
