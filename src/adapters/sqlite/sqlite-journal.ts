import type { DatabaseSync } from 'node:sqlite';
import type { Episode } from '../../alerts/episode.ts';
import type { KegView } from '../../alerts/keg-view.ts';
import type { RuleName, RuleSettings } from '../../alerts/rule.ts';
import type { GapMark } from '../../domain/gap.ts';
import type { VerdictKind } from '../../domain/verdict/judge.ts';
import type {
  CounterJournal,
  EpisodeJournal,
  GapJournal,
  HeardTopic,
  KegViewJournal,
  ListeningJournal,
  RejectedMessage,
  RuleJournal,
  VerdictChange,
  VerdictJournal,
} from '../../ports/journal.ts';
import { episodeFromRow, gapMarkFromRow } from './catalogue-rows.ts';
import { inTransaction } from './transaction.ts';

/** How many rejected messages and unassigned topics are kept; the counter goes on counting. */
const REJECTED_KEPT = 200;
const TOPICS_KEPT = 500;
const GAP_MARKS_KEPT = 10_000;

/** Alert episodes, verdict changes and what could not be used, in the catalogue's file. */
export class SqliteJournal
  implements EpisodeJournal, RuleJournal, KegViewJournal, VerdictJournal, ListeningJournal, CounterJournal, GapJournal
{
  readonly #database: DatabaseSync;

  constructor(database: DatabaseSync) {
    this.#database = database;
  }

  openEpisodes(): Episode[] {
    return this.#database.prepare('select body from episode where ended_at_ms is null').all().map(episodeFromRow);
  }

  recentEpisodes(limit: number): Episode[] {
    return this.#database
      .prepare('select body from episode order by began_at_ms desc limit ?')
      .all(limit)
      .map(episodeFromRow);
  }

  episode(id: string): Episode | null {
    const row = this.#database.prepare('select body from episode where id = ?').get(id);
    return row === undefined ? null : episodeFromRow(row);
  }

  untoldEpisodes(): Episode[] {
    return this.#database
      .prepare('select body from episode where untold = 1 order by began_at_ms')
      .all()
      .map(episodeFromRow);
  }

  lastEpisodes(): Episode[] {
    return this.#database
      .prepare(
        // With max() the other columns are those of the row that holds it.
        `select body, max(began_at_ms) from episode where ended_at_ms is not null group by rule, target`,
      )
      .all()
      .map(episodeFromRow);
  }

  beginsOf(rule: RuleName, target: string, sinceMs: number): number {
    const row = this.#database
      .prepare(
        `select count(*) as begins from episode
         where rule = ? and target = ? and began_at_ms >= ? and state <> 'building'`,
      )
      .get(rule, target, sinceMs);
    return Number(row?.begins ?? 0);
  }

  saveEpisode(episode: Episode): void {
    this.#save(episode, 0);
  }

  saveTurn(episode: Episode): void {
    this.#save(episode, 1);
  }

  turnTold(id: string): void {
    this.#database.prepare('update episode set untold = 0 where id = ?').run(id);
  }

  /** What waits to be told stays so until it was. */
  #save(episode: Episode, untold: 0 | 1): void {
    this.#database
      .prepare(
        `insert into episode (id, rule, keg_id, target, level, state, began_at_ms, ended_at_ms, body, untold)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) on conflict (id) do update
         set state = excluded.state, ended_at_ms = excluded.ended_at_ms, body = excluded.body,
           untold = max(untold, excluded.untold)`,
      )
      .run(
        episode.id,
        episode.rule,
        episode.kegId,
        episode.target,
        episode.level,
        episode.state.kind,
        episode.state.beganAtMs,
        episode.state.kind === 'ended' ? episode.state.endedAtMs : null,
        JSON.stringify(episode),
        untold,
      );
  }

  episodesSince(sinceMs: number): Episode[] {
    return this.#database
      .prepare(
        `select body from episode where state <> 'building' and (began_at_ms >= ?1 or ended_at_ms >= ?1)
         order by began_at_ms`,
      )
      .all(sinceMs)
      .map(episodeFromRow);
  }

  saveKegView(view: KegView): void {
    this.#database
      .prepare('insert or replace into keg_view values (?, ?, ?)')
      .run(view.kegId, view.atMs, JSON.stringify(view));
  }

  kegViews(kegId: string, fromMs: number, toMs: number): KegView[] {
    return this.#database
      .prepare('select body from keg_view where keg_id = ? and at_ms >= ? and at_ms < ? order by at_ms')
      .all(kegId, fromMs, toMs)
      .map((row) => JSON.parse(String(row.body)) as KegView);
  }

  dropKegViews(beforeMs: number): void {
    this.#database.prepare('delete from keg_view where at_ms < ?').run(beforeMs);
  }

  ruleSettings(): Map<RuleName, RuleSettings> {
    const rows = this.#database.prepare('select rule, body from rule_setting').all();
    return new Map(rows.map((row) => [String(row.rule) as RuleName, JSON.parse(String(row.body)) as RuleSettings]));
  }

  saveRuleSettings(rule: RuleName, settings: RuleSettings): void {
    this.#database
      .prepare('insert into rule_setting values (?, ?) on conflict (rule) do update set body = excluded.body')
      .run(rule, JSON.stringify(settings));
  }

  removeEpisode(id: string): void {
    this.#database.prepare('delete from episode where id = ?').run(id);
  }

  lastVerdicts(): Map<string, { kind: VerdictKind; sinceMs: number }> {
    const rows = this.#database.prepare('select keg_id, kind, since_ms from verdict').all();
    return new Map(
      rows.map((row) => [String(row.keg_id), { kind: row.kind as VerdictKind, sinceMs: Number(row.since_ms) }]),
    );
  }

  saveVerdict(kegId: string, kind: VerdictKind, sinceMs: number, headline: string): void {
    this.#database
      .prepare(
        `insert into verdict values (?, ?, ?) on conflict (keg_id) do update
         set kind = excluded.kind, since_ms = excluded.since_ms`,
      )
      .run(kegId, kind, sinceMs);
    this.#database
      .prepare('insert or replace into verdict_change values (?, ?, ?, ?)')
      .run(kegId, sinceMs, kind, headline);
  }

  verdictsWithin(kegId: string, fromMs: number, toMs: number): VerdictChange[] {
    return this.#database
      .prepare(
        `select at_ms, kind, headline from verdict_change where keg_id = ?1 and at_ms < ?3 and at_ms >= coalesce(
           (select max(at_ms) from verdict_change where keg_id = ?1 and at_ms <= ?2), ?2) order by at_ms`,
      )
      .all(kegId, fromMs, toMs)
      .map((row) => ({ atMs: Number(row.at_ms), kind: row.kind as VerdictKind, headline: String(row.headline) }));
  }

  saveGapMark({ cause, fromMs, toMs }: GapMark): void {
    this.#database
      .prepare('insert into gap_mark (cause, from_ms, to_ms) values (?, ?, ?)')
      .run(cause, Math.round(fromMs), Math.round(toMs));
    this.#database
      .prepare('delete from gap_mark where number <= (select max(number) from gap_mark) - ?')
      .run(GAP_MARKS_KEPT);
  }

  gapMarks(fromMs: number, toMs: number): GapMark[] {
    return this.#database
      .prepare('select * from gap_mark where to_ms > ? and from_ms < ? order by from_ms, number')
      .all(fromMs, toMs)
      .map(gapMarkFromRow);
  }

  newestGapMarks(limit: number): GapMark[] {
    return this.#database.prepare('select * from gap_mark order by number desc limit ?').all(limit).map(gapMarkFromRow);
  }

  gapCounts(): Map<GapMark['cause'], number> {
    const rows = this.#database.prepare('select cause, count(*) as number from gap_mark group by cause').all();
    return new Map(rows.map((row) => [row.cause as GapMark['cause'], Number(row.number)]));
  }

  heardTopics(): HeardTopic[] {
    const rows = this.#database.prepare('select * from heard_topic order by last_heard_at_ms desc').all();
    return rows.map((row) => ({
      topic: String(row.topic),
      sample: String(row.sample),
      lastHeardAtMs: Number(row.last_heard_at_ms),
      messages: Number(row.messages),
    }));
  }

  rejected(): RejectedMessage[] {
    const rows = this.#database.prepare('select * from rejected_message order by number desc').all();
    return rows.map((row) => ({
      topic: String(row.topic),
      atMs: Number(row.at_ms),
      reason: String(row.reason),
      sample: String(row.sample),
    }));
  }

  rejectedCount(): number {
    return this.counter('rejected') ?? 0;
  }

  counter(name: string): number | null {
    const row = this.#database.prepare('select value from counter where name = ?').get(name);
    return row === undefined ? null : Number(row.value);
  }

  saveCounter(name: string, value: number): void {
    this.#database
      .prepare('insert into counter values (?, ?) on conflict (name) do update set value = excluded.value')
      .run(name, value);
  }

  saveListening(heard: readonly HeardTopic[], rejected: readonly RejectedMessage[], rejectedCount: number): void {
    const database = this.#database;
    inTransaction(database, () => {
      const topic = database.prepare(
        `insert into heard_topic values (?, ?, ?, ?) on conflict (topic) do update set sample = excluded.sample,
           last_heard_at_ms = excluded.last_heard_at_ms, messages = messages + excluded.messages`,
      );
      for (const { topic: name, sample, lastHeardAtMs, messages } of heard)
        topic.run(name, sample, lastHeardAtMs, messages);
      const message = database.prepare(
        'insert into rejected_message (topic, at_ms, reason, sample) values (?, ?, ?, ?)',
      );
      for (const one of rejected.slice(-REJECTED_KEPT)) message.run(one.topic, one.atMs, one.reason, one.sample);
      database
        .prepare(`delete from rejected_message where number <= (select max(number) from rejected_message) - ?`)
        .run(REJECTED_KEPT);
      database
        .prepare(
          `delete from heard_topic where topic not in
             (select topic from heard_topic order by last_heard_at_ms desc limit ?)`,
        )
        .run(TOPICS_KEPT);
      database
        .prepare(`insert into counter values ('rejected', ?) on conflict (name) do update set value = excluded.value`)
        .run(rejectedCount);
    });
  }
}
