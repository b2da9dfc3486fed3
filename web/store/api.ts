import { signal } from '@preact/signals';
import type { Problem } from '../../src/contract/problem.ts';

/** What went wrong, as the service said it, or as we can say it when it said nothing. */
export interface Trouble {
  readonly detail: string;
  readonly errors: readonly { readonly pointer: string; readonly detail: string }[];
  /** Said before all else: what was kept in spite of the trouble. */
  readonly lead?: string;
  /** True if nobody answered: over once Quietkeg is reached again. */
  readonly unreached?: boolean;
  /** HTTP status and the problem's stable type, where the service answered. */
  readonly status?: number;
  readonly type?: string;
}

export type Answer<T> = { readonly ok: true; readonly body: T } | { readonly ok: false; readonly trouble: Trouble };

export type Method = 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE';

/** A request without an answer may have been taken all the same: only looking can tell. */
const UNREACHED: Trouble = {
  detail:
    'Quietkeg did not answer, so whether this was taken is not known. Look if it stands there before you repeat it.',
  errors: [],
  unreached: true,
};
const UNREAD: Trouble = { ...UNREACHED, detail: 'Quietkeg did not answer. Look if it is running.' };
/** How many changes the service took since the page was opened: what went wrong before the last of them is over. */
export const changesTaken = signal(0);
const PATIENCE_MS = 20_000;

export interface Manner {
  /** True if the request changes something; else it may be asked again without harm. */
  readonly changes?: boolean;
  /** How long an answer may take, where that is longer than usual. */
  readonly patienceMs?: number;
  /** Gives the question up. */
  readonly signal?: AbortSignal;
}

/** Asks the API at `/api/v1` + path. Never throws: trouble is part of the answer. */
export async function ask<T>(
  method: Method,
  path: string,
  content?: unknown,
  { changes = method !== 'GET', patienceMs = PATIENCE_MS, signal }: Manner = {},
): Promise<Answer<T>> {
  const cancel = new AbortController();
  signal?.addEventListener('abort', () => cancel.abort(), { once: true });
  const timer = setTimeout(() => cancel.abort(), patienceMs);
  try {
    const response = await fetch(`/api/v1${path}`, {
      method,
      signal: cancel.signal,
      headers: content === undefined ? {} : { 'content-type': 'application/json' },
      ...(content === undefined ? {} : { body: JSON.stringify(content) }),
    });
    if (!response.ok) return { ok: false, trouble: await troubleOf(response) };
    const text = await response.text();
    const body: T = text === '' ? null : JSON.parse(text);
    if (changes) changesTaken.value += 1;
    return { ok: true, body };
  } catch {
    return { ok: false, trouble: changes ? UNREACHED : UNREAD };
  } finally {
    clearTimeout(timer);
  }
}

async function troubleOf(response: Response): Promise<Trouble> {
  const { status } = response;
  try {
    const problem: Partial<Problem> = await response.json();
    const detail = problem.detail ?? problem.title ?? `Quietkeg answered ${status}.`;
    return { detail, errors: problem.errors ?? errorsOf(detail), status, type: problem.type ?? '' };
  } catch {
    return { detail: `Quietkeg answered ${status} without a reason. Try again.`, errors: [], status };
  }
}

/** A refusal that names its field only in words ("beerLitres: 25 L do not go …") is an error of that field. */
function errorsOf(detail: string): Trouble['errors'] {
  const [, field, words] = /^([a-z][A-Za-z]*(?:\.[A-Za-z]+)*): (.+)$/s.exec(detail) ?? [];
  return field === undefined || words === undefined
    ? []
    : [{ pointer: `/${field.replaceAll('.', '/')}`, detail: words }];
}
