import type { Clock } from '../../ports/clock.ts';
import type { Log, LogFields } from '../../ports/log.ts';

/**
 * Writes lines for a person: time, level, sentence, then `name=value`. Control characters cannot forge a line.
 * @param hide takes secrets out of a text, wherever they stand in it
 */
export function textLog(clock: Clock, write: (line: string) => void, hide = (text: string) => text): Log {
  const put = (level: string, message: string, fields: LogFields = {}) => {
    const shown = (value: LogFields[string]) => JSON.stringify(typeof value === 'string' ? hide(value) : value);
    const named = Object.entries(fields).map(([name, value]) => ` ${name}=${shown(value)}`);
    const time = new Date(clock.nowMs()).toISOString();
    write(`${time} ${level} ${escapeControls(hide(message))}${escapeControls(named.join(''))}\n`);
  };
  return {
    info: (message, fields) => put('info ', message, fields),
    warn: (message, fields) => put('warn ', message, fields),
    error: (message, fields) => put('error', message, fields),
  };
}

function escapeControls(text: string): string {
  // C0 and C1 controls and the line separators; JSON has escaped most of them in fields already.
  return text.replace(/[\p{Cc}\u2028\u2029]/gu, (c) => `\\u${(c.codePointAt(0) ?? 0).toString(16).padStart(4, '0')}`);
}
