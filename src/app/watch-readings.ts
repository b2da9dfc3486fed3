import { judgeKegReading, judgeSupplyReading } from '../alerts/judge-reading.ts';
import { isFillingAt, type KegContext } from '../alerts/keg-view.ts';
import type { RuleName } from '../alerts/rule.ts';
import { newKeg } from '../domain/catalogue.ts';
import { kegFactsAt } from '../domain/keg-facts.ts';
import { freshnessOf } from '../domain/keg-inputs.ts';
import type { Quantity } from '../domain/quantity.ts';
import type { Subject } from '../domain/topic.ts';
import { coldestSafeC, FREEZING_MARGIN_C } from '../domain/verdict/freezing-margin.ts';
import type { ProbeReading } from './decode.ts';
import type { Register } from './register.ts';
import { chosenProbe, judgedValue, subjectWords, type WatchBasis } from './watch-base.ts';

/** Which rules of single readings rest on which quantity. */
const RULES_OF: Readonly<Partial<Record<Quantity, readonly RuleName[]>>> = {
  'beer-temperature': ['cold-enough', 'no-longer-cold', 'near-freezing'],
  'headspace-pressure': ['over-working-pressure'],
  'cylinder-mass': ['cylinder-low'],
  'cylinder-pressure': ['cylinder-low'],
};

/** What rules of single readings must know of a keg at a moment. */
export function kegContextAt(register: Register, kegId: string, atMs: number): KegContext {
  const keg = register.keg(kegId) ?? newKeg(kegId);
  const events = register.eventsOf(keg);
  const batch = register.batchAt(kegId, atMs);
  return {
    kegId,
    name: batch?.name ?? keg.name,
    placeId: keg.placeId,
    isFilled: batch !== null,
    targetC: kegFactsAt(events, atMs).target.celsius,
    freezesAtC: coldestSafeC(batch?.abvPercent ?? null) - FREEZING_MARGIN_C,
    workingKpaGaugeMax: keg.workingKpaGaugeMax,
    isFilling: isFillingAt(events, atMs),
    units: register.site().units,
  };
}

/** Runs the rules of single readings, of late ones too. */
export class ReadingWatch {
  readonly #basis: WatchBasis;

  constructor(basis: WatchBasis) {
    this.#basis = basis;
  }

  accept({ probe, reading }: ProbeReading): void {
    const { register, probes, desk, rules, clock } = this.#basis;
    const { quantity, subject } = probe;
    if (RULES_OF[quantity] === undefined) return;
    // Two thermometers of one keg must not contradict each other.
    const chosen = chosenProbe(probes.of(subject), quantity, clock.nowMs());
    if (chosen !== null && chosen.probe.probeId !== probe.probeId) return;
    // A value that only repeats itself says nothing of now.
    if (chosen?.amiss?.kind === 'stuck') return;
    const atMs = reading.measuredAtMs;
    const heard = { quantity, value: judgedValue(this.#basis, probe, reading.value, atMs), atMs };
    if (subject.kind === 'keg') {
      if (register.keg(subject.id) === null && register.isDismissed(subject.id)) return;
      for (const one of judgeKegReading(rules, heard, kegContextAt(register, subject.id, atMs))) desk.sample(one);
    }
    if (subject.kind === 'supply') {
      const hasScale = probes.of(subject).some((value) => value.probe.quantity === 'cylinder-mass');
      const name = subjectWords(this.#basis, subject);
      const supply = { supplyId: subject.id, name, units: register.site().units, hasScale };
      for (const one of judgeSupplyReading(rules, heard, supply)) desk.sample(one);
    }
  }

  /** Marks what rests on readings of a keg or a supply by whether they still come. Silence never ends anything. */
  markUnverified(subject: Extract<Subject, { kind: 'keg' | 'supply' }>): void {
    const { probes, desk, clock } = this.#basis;
    const nowMs = clock.nowMs();
    const values = probes.of(subject);
    const heard = new Set<RuleName>();
    const known = new Set<RuleName>();
    for (const value of values) {
      const isHeard = freshnessOf(value, nowMs) !== 'stale';
      for (const rule of RULES_OF[value.probe.quantity] ?? []) {
        known.add(rule);
        if (isHeard) heard.add(rule);
      }
    }
    const all = subject.kind === 'keg' ? KEG_RULES : SUPPLY_RULES;
    for (const rule of all) desk.markUnverified(rule, subject.id, !(known.has(rule) && heard.has(rule)));
  }
}

const KEG_RULES: readonly RuleName[] = ['cold-enough', 'no-longer-cold', 'near-freezing', 'over-working-pressure'];
const SUPPLY_RULES: readonly RuleName[] = ['cylinder-low'];
