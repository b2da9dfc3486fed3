/** What a request to InfluxDB 1.x failed of, so far as it decides what to do next. */
export type InfluxTrouble =
  /** Some points were refused for good, the others are kept. `dropped` is how many, where the server says so. */
  | { readonly kind: 'points-refused'; readonly reason: string; readonly dropped: number | null }
  | { readonly kind: 'no-database' }
  | { readonly kind: 'too-large' }
  /** Only a change of settings on the server or here will help. */
  | { readonly kind: 'settings'; readonly reason: string }
  /** The server is away, frozen or failing: the same request may succeed later. */
  | { readonly kind: 'passing'; readonly reason: string };

/** How the client words an HTTP answer of 300 to 499. */
const ANSWER = /^A (\d{3}) .*? error occurred: (.*)$/s;

/**
 * Reads the client's error. The answers are those measured on InfluxDB 1.6; the documented ones of 1.8 are the same.
 * @source https://docs.influxdata.com/influxdb/v1.8/tools/api/#write-http-endpoint
 */
export function influxTrouble(error: unknown): InfluxTrouble {
  const message = error instanceof Error ? error.message : String(error);
  if (/database not found/.test(message)) return { kind: 'no-database' };
  const [, status, body = ''] = ANSWER.exec(message) ?? [];
  const said = serverSaid(body);
  switch (status) {
    case undefined:
      return { kind: 'passing', reason: message };
    case '400':
      return badRequest(said);
    case '413':
      return { kind: 'too-large' };
    case '401':
    case '403':
      return { kind: 'settings', reason: `it refuses the user or password in the address (${said})` };
    default:
      return { kind: 'passing', reason: `it answered ${status}: ${said}` };
  }
}

function badRequest(said: string): InfluxTrouble {
  if (/max-series-per-database|max-values-per-tag/.test(said)) {
    const reason = `its limit of series is reached; raise it in the server's settings (${said})`;
    return { kind: 'settings', reason };
  }
  const dropped = /dropped=(\d+)/.exec(said)?.[1];
  if (/^partial write|unable to parse/.test(said)) {
    const reason = /beyond retention policy/.test(said)
      ? "older than the database's retention policy keeps"
      : said.replace(/^partial write: /, '').replace(/ dropped=\d+$/, '');
    return { kind: 'points-refused', reason, dropped: dropped === undefined ? null : Number(dropped) };
  }
  return { kind: 'settings', reason: `it calls the request wrong (${said})` };
}

/** The sentence in `{"error": …}`, or the body as it is. */
function serverSaid(body: string): string {
  try {
    const answer: unknown = JSON.parse(body);
    if (typeof answer === 'object' && answer !== null && 'error' in answer) return String(answer.error);
  } catch {
    // Not JSON: a proxy in between, perhaps.
  }
  return body.trim().slice(0, 300);
}
