import { expect, test } from 'vitest';
import { textLog } from '../../../src/adapters/log/text-log.ts';
import { NOON } from '../../support/builders.ts';
import { FakeClock } from '../../support/fake-clock.ts';

function logged(write: (log: ReturnType<typeof textLog>) => void): string {
  const lines: string[] = [];
  write(textLog(new FakeClock(NOON), (line) => lines.push(line)));
  return lines.join('');
}

test('a line has time, level, sentence and named values', () => {
  expect(logged((log) => log.info('started'))).toBe('2026-06-01T12:00:00.000Z info  started\n');
  expect(logged((log) => log.warn('slow', { keg: 'one', ms: 12, retry: true, cause: null }))).toBe(
    '2026-06-01T12:00:00.000Z warn  slow keg="one" ms=12 retry=true cause=null\n',
  );
  expect(logged((log) => log.error('failed'))).toBe('2026-06-01T12:00:00.000Z error failed\n');
});

test('what comes from outside cannot forge a line or move the cursor', () => {
  const text = logged((log) => log.warn('bad\nline\r\u001b[2J\u0085\u2028', { topic: 'a\n2026 error b\u001b\u009b' }));
  expect(text.split('\n')).toHaveLength(2);
  for (const control of ['\u001b', '\u0085', '\u009b', '\u2028', '\r']) expect(text).not.toContain(control);
  expect(text).toContain('bad\\u000aline\\u000d\\u001b[2J\\u0085\\u2028');
});
