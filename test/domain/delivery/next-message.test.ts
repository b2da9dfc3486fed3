/**
 * Aim: who is told what when, by rules that hold through every order of events.
 * Method: single situations in words; then random histories beside a naive model that knows only the history.
 */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  LIMIT_WINDOW_MS,
  MESSAGES_MAX,
  messagesLeft,
  type Spent,
  stillSpent,
} from '../../../src/domain/delivery/limit.ts';
import { type Level, type Matter, type Part, partsKey } from '../../../src/domain/delivery/matter.ts';
import { GATHER_MS, type LaneView, lapsedThreads, nextMessage } from '../../../src/domain/delivery/next-message.ts';
import { afterGivenUp, afterTold, newThread, type Thread } from '../../../src/domain/delivery/thread.ts';
import { MINUTE, NOON, SECOND } from '../../support/builders.ts';
import { naiveNext } from './naive-delivery.ts';

function aMatter(id: string, change: Partial<Matter> = {}): Matter {
  return {
    id,
    ownedBy: 'desk',
    kegId: 'one',
    level: 'attention',
    message: `${id}.`,
    advice: '',
    measured: null,
    limit: null,
    unit: null,
    beganAtMs: NOON,
    endedAtMs: null,
    acknowledgedAtMs: null,
    mutedUntilMs: null,
    version: 0,
    ...change,
  };
}

function aLane(matters: readonly Matter[], change: Partial<LaneView> = {}): LaneView {
  return {
    laneId: 'anna/mail',
    isProgram: false,
    step: 'first',
    threads: matters.map(({ id }) => newThread(id, NOON - MINUTE)),
    matters: new Map(matters.map((matter) => [matter.id, matter])),
    isQuiet: false,
    spent: [],
    escalatesAtMs: () => null,
    ...change,
  };
}

const words = (parts: readonly Part[] | null) => parts?.map(({ turn, matterId }) => `${turn} ${matterId}`) ?? null;
const next = (lane: LaneView, nowMs = NOON) => words(nextMessage(lane, nowMs));
const spent = (count: number, atMs = NOON): Spent[] =>
  Array.from({ length: count }, (_, index) => ({ key: `k${index}`, laneId: 'l', atMs }));
const told = (id: string): Thread => ({ ...newThread(id, NOON - MINUTE), told: 'begin', toldVersion: 0 });

describe('a person', () => {
  test('is told of a begin, and of its end if the begin got out', () => {
    const over = aMatter('a', { endedAtMs: NOON });
    expect(next(aLane([aMatter('a')]))).toEqual(['begin a']);
    expect(next(aLane([aMatter('a')], { threads: [told('a')] }))).toBeNull();
    expect(next(aLane([over], { threads: [told('a')] }))).toEqual(['end a']);
  });

  test('gets one combined message of what ended before its begin got out', () => {
    expect(next(aLane([aMatter('a', { endedAtMs: NOON })]))).toEqual(['both a']);
  });

  test('gets nothing of a matter that is not known', () => {
    expect(next(aLane([], { threads: [newThread('a', 0)] }))).toBeNull();
  });

  test('waits a moment for what comes together', () => {
    const lane = aLane([aMatter('a')], { threads: [newThread('a', NOON)] });
    expect(next(lane, NOON + GATHER_MS - 1)).toBeNull();
    expect(next(lane, NOON + GATHER_MS)).toEqual(['begin a']);
  });

  test('hears nothing in quiet hours but the top level', () => {
    const matters = [aMatter('a'), aMatter('b', { level: 'urgent' })];
    expect(next(aLane(matters.slice(0, 1), { isQuiet: true }))).toBeNull();
    expect(next(aLane(matters, { isQuiet: true }))).toEqual(['begin b']);
  });

  test('hears the top level past the limit and a mute, and before all else', () => {
    const urgent = aMatter('b', { level: 'urgent', mutedUntilMs: NOON + MINUTE });
    expect(next(aLane([aMatter('a'), urgent], { spent: spent(4) }))).toEqual(['begin b']);
  });

  test('is told no begin while it is muted, but its end', () => {
    const muted = aMatter('a', { mutedUntilMs: NOON + MINUTE });
    const over = { ...muted, endedAtMs: NOON };
    expect(next(aLane([muted]))).toBeNull();
    expect(next(aLane([muted]), NOON + MINUTE)).toEqual(['begin a']);
    expect(next(aLane([over], { threads: [told('a')] }))).toEqual(['end a']);
    expect(next(aLane([over]))).toEqual(['both a']);
  });

  test('gets at most four messages in ten minutes, the rest as one', () => {
    const many = ['a', 'b', 'c', 'd', 'e'].map((id) => aMatter(id));
    expect(next(aLane(many.slice(0, 4)))).toEqual(['begin a']);
    expect(next(aLane(many))).toEqual(many.map(({ id }) => `begin ${id}`));
    expect(next(aLane(many.slice(0, 2), { spent: spent(3) }))).toEqual(['begin a', 'begin b']);
    expect(next(aLane(many.slice(0, 1), { spent: spent(3) }))).toEqual(['begin a']);
    expect(next(aLane(many, { spent: spent(4) }))).toBeNull();
    expect(next(aLane(many, { spent: spent(4) }), NOON + LIMIT_WINDOW_MS)).toHaveLength(5);
  });

  test('is sent by a second channel what the first was sent, without its counting again', () => {
    const matters = [aMatter('a'), aMatter('b')];
    const single = partsKey([{ matterId: 'b', turn: 'begin', version: 0 }]);
    const both = partsKey(['a', 'b'].map((matterId) => ({ matterId, turn: 'begin', version: 0 }) as const));
    const sent = (key: string) => [...spent(4), { key, laneId: 'anna/push', atMs: NOON }];
    expect(next(aLane(matters, { spent: sent(single) }))).toEqual(['begin b']);
    expect(next(aLane(matters, { spent: sent(both) }))).toEqual(['begin a', 'begin b']);
  });
});

describe('a second way', () => {
  const second = (matter: Matter, dueAtMs: number | null, change: Partial<LaneView> = {}) =>
    aLane([matter], { step: 'second', escalatesAtMs: () => dueAtMs, ...change });

  test('is tried when nobody acknowledged in time', () => {
    expect(next(second(aMatter('a'), null))).toBeNull();
    expect(next(second(aMatter('a'), NOON + 1))).toBeNull();
    expect(next(second(aMatter('a'), NOON))).toEqual(['begin a']);
    expect(next(second(aMatter('a', { acknowledgedAtMs: NOON }), NOON))).toBeNull();
  });

  test('is told the end of what it was told, and nothing of what was over before', () => {
    const over = aMatter('a', { endedAtMs: NOON, acknowledgedAtMs: NOON });
    expect(next(second(over, NOON, { threads: [told('a')] }))).toEqual(['end a']);
    expect(next(second(over, NOON))).toBeNull();
    expect(lapsedThreads(second(over, NOON))).toEqual(['a']);
    expect(lapsedThreads(second(over, NOON, { threads: [told('a')] }))).toEqual([]);
    expect(lapsedThreads(second(aMatter('a'), NOON))).toEqual([]);
    expect(lapsedThreads({ ...second(over, NOON), matters: new Map() })).toEqual(['a']);
    expect(lapsedThreads(aLane([over]))).toEqual([]);
    expect(lapsedThreads(second(over, NOON, { isProgram: true }))).toEqual([]);
  });
});

describe('a program', () => {
  test('hears every turn by itself, at once, whatever holds for people', () => {
    const matters = [aMatter('b', { mutedUntilMs: NOON * 2 }), aMatter('a'), aMatter('c'), aMatter('d'), aMatter('e')];
    const lane = aLane(matters, { isProgram: true, isQuiet: true, spent: spent(4) });
    expect(next(lane)).toEqual(['begin a']);
    expect(next({ ...lane, threads: [] })).toBeNull();
  });

  test('hears of each change once', () => {
    const changed = aMatter('a', { version: 3 });
    const lane = aLane([changed], { isProgram: true, threads: [told('a')] });
    expect(next(lane)).toEqual(['change a']);
    const part: Part = { matterId: 'a', turn: 'change', version: 3 };
    const after = afterTold(told('a'), part, NOON);
    expect(after === null ? null : next({ ...lane, threads: [after] })).toBeNull();
    expect(partsKey([part])).not.toBe(partsKey([{ ...part, version: 4 }]));
  });

  test('is not told again of a change that was given up, nor of the end of a begin that was', () => {
    const part: Part = { matterId: 'a', turn: 'change', version: 3 };
    expect(afterGivenUp(told('a'), part)).toEqual({ ...told('a'), toldVersion: 3 });
    expect(afterGivenUp(newThread('a', NOON), { ...part, turn: 'begin' })).toBeNull();
  });
});

test('the limit counts as long after a clock was set back as before', () => {
  expect(messagesLeft(spent(3, NOON + 5 * MINUTE), NOON)).toBe(1);
  expect(messagesLeft(spent(3, NOON + 20 * MINUTE), NOON)).toBe(MESSAGES_MAX);
  expect(stillSpent(spent(2, NOON - LIMIT_WINDOW_MS), NOON)).toEqual([]);
});

type Command =
  | { readonly do: 'begin'; readonly level: Level }
  | { readonly do: 'end' | 'acknowledge'; readonly which: number }
  | { readonly do: 'mute'; readonly which: number; readonly minutes: number }
  | { readonly do: 'quiet'; readonly isQuiet: boolean }
  | { readonly do: 'wait'; readonly seconds: number };

const which = fc.nat(30);
const commands = fc.array(
  fc.oneof(
    {
      weight: 4,
      arbitrary: fc.record({
        do: fc.constant('begin' as const),
        level: fc.constantFrom<Level>('news', 'attention', 'attention', 'urgent'),
      }),
    },
    { weight: 4, arbitrary: fc.record({ do: fc.constantFrom('end' as const, 'acknowledge' as const), which }) },
    {
      weight: 1,
      arbitrary: fc.record({ do: fc.constant('mute' as const), which, minutes: fc.integer({ min: 1, max: 30 }) }),
    },
    { weight: 1, arbitrary: fc.record({ do: fc.constant('quiet' as const), isQuiet: fc.boolean() }) },
    {
      weight: 6,
      arbitrary: fc.record({ do: fc.constant('wait' as const), seconds: fc.integer({ min: 1, max: 400 }) }),
    },
  ),
  { maxLength: 60 },
);

/** A lane of a person that sends whatever it may, second by second. */
class Run {
  readonly matters = new Map<string, Matter>();
  readonly knownAtMs = new Map<string, number>();
  readonly sent: { parts: readonly Part[]; atMs: number; isUrgent: boolean; isQuiet: boolean }[] = [];
  threads: Thread[] = [];
  spent: Spent[] = [];
  isQuiet = false;
  nowMs = NOON;

  obey(command: Command): void {
    switch (command.do) {
      case 'begin': {
        const id = `m${String(this.matters.size).padStart(3, '0')}`;
        this.matters.set(id, aMatter(id, { level: command.level, beganAtMs: this.nowMs }));
        this.knownAtMs.set(id, this.nowMs);
        this.threads.push(newThread(id, this.nowMs));
        return;
      }
      case 'quiet':
        this.isQuiet = command.isQuiet;
        return;
      case 'wait':
        for (let second = 0; second < command.seconds; second += 1) {
          this.nowMs += SECOND;
          this.sendAll();
        }
        return;
      default:
        this.change(command);
    }
  }

  change(command: Extract<Command, { which: number }>): void {
    const matter = [...this.matters.values()][command.which % Math.max(1, this.matters.size)];
    if (matter === undefined || matter.endedAtMs !== null) return;
    const { id } = matter;
    if (command.do === 'end') {
      this.matters.set(id, { ...matter, endedAtMs: this.nowMs });
      this.threads = this.threads.map((thread) =>
        thread.matterId === id ? { ...thread, sinceMs: this.nowMs } : thread,
      );
    } else if (command.do === 'mute') {
      this.matters.set(id, { ...matter, mutedUntilMs: this.nowMs + command.minutes * MINUTE });
    } else {
      this.matters.set(id, { ...matter, acknowledgedAtMs: this.nowMs });
    }
  }

  sendAll(): void {
    for (;;) {
      const view = aLane([], {
        matters: this.matters,
        threads: this.threads,
        isQuiet: this.isQuiet,
        spent: this.spent,
      });
      const parts = nextMessage(view, this.nowMs);
      const matters = [...this.matters.values()].map((matter) => ({
        matter,
        knownAtMs: this.knownAtMs.get(matter.id) ?? 0,
      }));
      expect(words(parts)).toEqual(naiveNext({ matters, sent: this.sent, isQuiet: this.isQuiet }, this.nowMs));
      if (parts === null) return;
      const isUrgent = parts.some(({ matterId }) => this.matters.get(matterId)?.level === 'urgent');
      this.sent.push({ parts, atMs: this.nowMs, isUrgent, isQuiet: this.isQuiet });
      this.spent = [...stillSpent(this.spent, this.nowMs), { key: partsKey(parts), laneId: 'l', atMs: this.nowMs }];
      this.threads = this.threads.flatMap((thread) => {
        const part = parts.find(({ matterId }) => matterId === thread.matterId);
        return part === undefined ? thread : (afterTold(thread, part, this.nowMs) ?? []);
      });
    }
  }
}

test('through any history: as the naive model says, one end for each begin, the limit kept, nothing lost', () => {
  fc.assert(
    fc.property(commands, (list) => {
      const run = new Run();
      for (const command of list) run.obey(command);
      // Whatever holds messages goes by, and then everybody knows everything.
      run.obey({ do: 'quiet', isQuiet: false });
      run.obey({ do: 'wait', seconds: 45 * 60 });
      for (const { id, endedAtMs } of run.matters.values()) {
        const turns = run.sent.flatMap(({ parts }) => parts.flatMap((part) => (part.matterId === id ? part.turn : [])));
        const wanted = endedAtMs === null ? [['begin']] : [['begin', 'end'], ['both']];
        expect(wanted).toContainEqual(turns);
      }
      for (const { atMs, isUrgent, isQuiet } of run.sent) {
        if (isUrgent) continue;
        expect(isQuiet).toBe(false);
        const before = run.sent.filter((one) => one.atMs > atMs - LIMIT_WINDOW_MS && one.atMs <= atMs && !one.isUrgent);
        expect(before.length).toBeLessThanOrEqual(MESSAGES_MAX);
      }
    }),
    { numRuns: 60 },
  );
});
