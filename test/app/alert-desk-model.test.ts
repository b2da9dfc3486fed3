/** Aim: whatever is done with the desk, in any order, people are told what the plainest reading of the samples says. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { openCatalogueFile } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteJournal } from '../../src/adapters/sqlite/sqlite-journal.ts';
import { type Episode, isTold } from '../../src/alerts/episode.ts';
import type { Finding, Observation, RuleInForce } from '../../src/alerts/rule.ts';
import { usualRule } from '../../src/alerts/rules.ts';
import { AlertDesk } from '../../src/app/alert-desk.ts';
import { type NaiveEvent, naiveTold } from '../alerts/naive-alert.ts';
import { HOUR, MINUTE, NOON } from '../support/builders.ts';

const TARGETS = ['one', 'two'] as const;
type Target = (typeof TARGETS)[number];

/** Danger is told each time, so that no begin merges with another one. */
const BASE: RuleInForce = { ...usualRule('near-freezing'), rereads: false };
const WORDS = { measured: null, limit: null, unit: null, message: 'm', advice: 'a' };

/** The desk under test, with everything that was told. */
class Real {
  readonly journal = new SqliteJournal(openCatalogueFile(':memory:'));
  readonly news: Episode[] = [];
  rule: RuleInForce;
  desk: AlertDesk;
  nowMs = NOON;

  constructor(rule: RuleInForce) {
    this.rule = rule;
    this.desk = this.open();
  }

  open(): AlertDesk {
    const desk = new AlertDesk(
      this.journal,
      (episode) => this.news.push(episode),
      () => this.rule,
    );
    desk.retell();
    return desk;
  }

  /** Begins and ends of a target in the order in which they were told; marks left out. */
  told(target: Target): string[] {
    const lines = this.news.flatMap(({ target: of, state }) => {
      if (of !== target) return [];
      if (state.kind === 'ended') return `end ${state.beganAtMs} at ${state.endedAtMs}`;
      return state.kind === 'active' ? `begin ${state.beganAtMs}` : [];
    });
    // An episode that is active is told again with each of its marks; its begin is the first of them.
    return lines.filter((line, index) => lines.indexOf(line) === index);
  }
}

class Model {
  enabled = true;
  readonly events: Record<Target, NaiveEvent[]> = { one: [], two: [] };
  unverified = 0;
}

type Command = fc.Command<Model, Real>;

function check(model: Model, real: Real): void {
  for (const target of TARGETS) {
    expect(real.told(target)).toEqual(naiveTold(real.rule, model.events[target]));
    const open = real.journal.openEpisodes().filter((episode) => episode.target === target);
    expect(open.length).toBeLessThanOrEqual(1);
  }
  // Who opens a page sees what was told and has not ended, whatever happened to the service.
  const ended = new Set(real.news.flatMap(({ id, state }) => (state.kind === 'ended' ? id : [])));
  const begun = new Set(real.news.filter(isTold).map(({ id }) => id));
  const going = [...begun].filter((id) => !ended.has(id)).toSorted();
  expect(
    real.desk
      .told()
      .map(({ id }) => id)
      .toSorted(),
  ).toEqual(going);
}

class Sample implements Command {
  readonly target: Target;
  readonly finding: Observation;
  readonly stepMs: number;

  constructor(target: Target, finding: Observation, stepMs: number) {
    this.target = target;
    this.finding = finding;
    this.stepMs = stepMs;
  }
  check = () => true;
  run(model: Model, real: Real): void {
    real.nowMs += this.stepMs;
    const { target, finding } = this;
    const sample = { rule: BASE.name, target, kegId: target, atMs: real.nowMs, words: WORDS, endWords: WORDS } as const;
    real.desk.sample({ ...sample, finding });
    if (model.enabled && finding !== 'unknown') {
      model.events[target].push({ kind: 'sample', atMs: real.nowMs, finding: finding as Finding });
    }
    check(model, real);
  }
  toString = () => `sample ${this.target} ${this.finding} +${this.stepMs / MINUTE} min`;
}

/** A command without a model of its own: it must change nothing in what is told of begins and ends. */
class Deed implements Command {
  readonly name: string;
  readonly #deed: (real: Real, model: Model) => void;

  constructor(name: string, deed: (real: Real, model: Model) => void) {
    this.name = name;
    this.#deed = deed;
  }
  check = () => true;
  run(model: Model, real: Real): void {
    this.#deed(real, model);
    check(model, real);
  }
  toString = () => this.name;
}

const first = (real: Real) => real.desk.open()[0]?.id ?? 'nothing';
const cut = (model: Model, target: Target, atMs: number) => model.events[target].push({ kind: 'cut', atMs });

const DEEDS: readonly Deed[] = [
  new Deed('a gap', (real) => {
    real.nowMs += 3 * HOUR;
  }),
  new Deed('acknowledge', (real) => real.desk.acknowledge(first(real), real.nowMs)),
  new Deed('mute', (real) => real.desk.mute(first(real), real.nowMs + HOUR, 'asleep')),
  new Deed('unmute', (real) => real.desk.mute(first(real), null)),
  new Deed('nothing heard', (real) => real.desk.markUnverified(BASE.name, 'one', true)),
  new Deed('restart', (real) => {
    real.desk = real.open();
  }),
  new Deed('rule switched off', (real, model) => {
    real.rule = { ...real.rule, enabled: false };
    model.enabled = false;
    real.desk.endRule(BASE.name, real.nowMs, { message: 'off', advice: '' });
    for (const target of TARGETS) cut(model, target, real.nowMs);
  }),
  new Deed('rule switched on', (real, model) => {
    real.rule = { ...real.rule, enabled: true };
    model.enabled = true;
  }),
  new Deed('keg removed', (real, model) => {
    real.desk.endFor('one', real.nowMs);
    cut(model, 'one', real.nowMs);
  }),
];

const findings = fc.constantFrom<Observation>('holds', 'holds', 'holds', 'between', 'over', 'over', 'unknown');
const steps = fc.constantFrom(1000, MINUTE, 3 * MINUTE, 6 * MINUTE, 31 * MINUTE);
const samples = fc
  .tuple(fc.constantFrom(...TARGETS), findings, steps)
  .map(([target, finding, stepMs]) => new Sample(target, finding, stepMs));
const deeds = fc.constantFrom(...DEEDS);
const rules = fc.record({
  onDelayMs: fc.constantFrom(0, 5 * MINUTE, 10 * MINUTE),
  offDelayMs: fc.constantFrom(0, 5 * MINUTE, 30 * MINUTE),
});

test('begins and ends are those of the plainest reading, through marks, edits, removals and restarts', () => {
  fc.assert(
    fc.property(rules, fc.commands([samples, samples, samples, deeds], { maxCommands: 80 }), (delays, commands) => {
      fc.modelRun(() => ({ model: new Model(), real: new Real({ ...BASE, ...delays }) }), commands);
    }),
    { numRuns: 200 },
  );
});
