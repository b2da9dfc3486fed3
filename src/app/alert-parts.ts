import type { Episode } from '../alerts/episode.ts';
import type { Clock } from '../ports/clock.ts';
import type { EpisodeJournal, KegViewJournal, RuleJournal } from '../ports/journal.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import { AlertDesk } from './alert-desk.ts';
import { alertHealth, type EpisodeHealth } from './alert-health.ts';
import { AlertWatch } from './alert-watch.ts';
import { KeptViews } from './kept-views.ts';
import type { Listening } from './listening.ts';
import type { LiveProbes } from './live-probes.ts';
import type { Register } from './register.ts';
import { RuleBook } from './rule-book.ts';
import { RuleChanges } from './rule-changes.ts';
import { RuleTrials } from './rule-trial.ts';
import type { PartTroubles } from './watch-service.ts';

export interface AlertOutside {
  readonly journal: EpisodeJournal & RuleJournal & KegViewJournal;
  readonly clock: Clock;
  readonly register: Register;
  readonly probes: LiveProbes;
  readonly store: ReadingStore;
  readonly listening: Listening;
  readonly health: () => PartTroubles;
  readonly breathe: () => Promise<void>;
  /** Hears of every begin, end and mark. */
  readonly tell: (episode: Episode) => void;
}

export interface AlertParts {
  readonly desk: AlertDesk;
  readonly watch: AlertWatch;
  readonly rules: RuleChanges;
  readonly alertHealth: () => EpisodeHealth;
}

/** The rules, what they look at, and who tells of it, plugged together. */
export function alertParts(outside: AlertOutside): AlertParts {
  const { journal, clock, register, probes, listening, health, tell } = outside;
  const book = new RuleBook(journal);
  const rules = book.rule.bind(book);
  const nowMs = () => clock.nowMs();
  const views = new KeptViews(journal);
  const desk = new AlertDesk(journal, tell, rules);
  const watch = new AlertWatch({ clock, register, probes, desk, rules }, health, views);
  listening.onReject((topic, reasons) => watch.refused(topic, reasons));
  const trials = new RuleTrials({ ...outside, views, book, nowMs });
  return {
    desk,
    watch,
    rules: new RuleChanges(book, desk, trials, nowMs),
    alertHealth: () => alertHealth(journal, desk, register.site().timeZone, nowMs()),
  };
}
