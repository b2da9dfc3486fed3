import { describe, expect, test } from 'vitest';
import { openCatalogueFile } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteJournal } from '../../src/adapters/sqlite/sqlite-journal.ts';
import { Listening } from '../../src/app/listening.ts';
import type { SpoolRecord } from '../../src/ports/spool.ts';
import { NOON } from '../support/builders.ts';

const message = (topic: string, payload: string | Uint8Array, n = 0): SpoolRecord => ({
  topic,
  payload: typeof payload === 'string' ? Buffer.from(payload) : payload,
  receivedAtMs: NOON + n,
  policy: 'live',
  retained: false,
});
const journal = () => new SqliteJournal(openCatalogueFile(':memory:'));

describe('what could not be used', () => {
  test('is kept with its reason, newest first, and counted over restarts', () => {
    const kept = journal();
    const listening = new Listening(kept);
    listening.reject(message('a', 'x', 1), ['first', 'second'], false);
    listening.reject(message('b', 'y', 2), ['third'], false);
    expect(listening.rejected()).toEqual([
      { topic: 'b', atMs: NOON + 2, reason: 'third', sample: 'y' },
      { topic: 'a', atMs: NOON + 1, reason: 'second', sample: 'x' },
      { topic: 'a', atMs: NOON + 1, reason: 'first', sample: 'x' },
    ]);
    expect(new Listening(kept).rejectedCount()).toBe(3);
    listening.flush();
    expect(listening.rejected()).toHaveLength(3);
  });

  test('is bounded, however much comes; the count goes on', () => {
    const listening = new Listening(journal());
    for (let n = 0; n < 5000; n += 1) listening.reject(message(`t${n}`, 'x', n), ['no'], true);
    expect(listening.rejectedCount()).toBe(5000);
    expect(listening.rejected()).toHaveLength(200);
    for (let round = 0; round < 10; round += 1) {
      for (let n = 0; n < 100; n += 1) listening.reject(message(`r${round}-${n}`, 'x', 9999 + round), ['no'], true);
      listening.flush();
    }
    expect(listening.rejected()).toHaveLength(200);
    expect(listening.rejected()[0]?.topic).toBe('r9-99');
    expect(listening.heardTopics()).toHaveLength(500);
    expect(listening.heardTopics()[0]?.topic).toMatch(/^r9-/);
  });

  test('topics that no probe reads are counted', () => {
    const listening = new Listening(journal());
    listening.reject(message('a', '1', 1), ['no'], true);
    listening.reject(message('a', '2', 2), ['no'], true);
    listening.flush();
    listening.reject(message('a', '3', 3), ['no'], true);
    expect(listening.heardTopics()).toEqual([{ topic: 'a', sample: '3', lastHeardAtMs: NOON + 3, messages: 3 }]);
  });
});

describe('a sample of a payload', () => {
  const sampleOf = (payload: string | Uint8Array) => {
    const listening = new Listening(journal());
    listening.reject(message('a', payload), ['no'], false);
    return listening.rejected()[0]?.sample;
  };

  test('is text where it is text, and short', () => {
    expect(sampleOf('{"t":4.1}')).toBe('{"t":4.1}');
    expect(sampleOf('grün ☃')).toBe('grün ☃');
    expect(sampleOf('')).toBe('');
    expect(sampleOf('x'.repeat(200))).toBe(`${'x'.repeat(120)}…`);
  });

  test('is bytes where it is none', () => {
    expect(sampleOf(Uint8Array.from([0, 255, 16]))).toBe('bytes 00 ff 10');
    expect(sampleOf('a\u001b[2J')).toBe('bytes 61 1b 5b 32 4a');
    expect(sampleOf(new Uint8Array(500))?.length).toBeLessThan(130);
  });
});
