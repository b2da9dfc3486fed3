/** What was seen of a broker elsewhere. Null: nothing yet. */
export interface BrokerFacts {
  readonly version: string | null;
  readonly sessionResumed: boolean | null;
  /** It knew us once: so a session that it does not know is a lost one. */
  readonly wasKnown: boolean;
  /** When we were connected last before this connection (ms), and when it was started. */
  readonly leftAtMs: number | null;
  readonly startedAtMs: number | null;
  readonly droppedTotal: number | null;
  /** Of these, thrown away since we look. */
  readonly droppedSeen: number;
  readonly grantedQos: number | null;
  readonly anonymousAllowed: boolean | null;
}

export type FindingName = 'session' | 'persistence' | 'dropped' | 'subscription' | 'anonymous';

/** One question to a broker and how it stands. */
export interface AuditFinding {
  readonly name: FindingName;
  readonly state: 'good' | 'act' | 'unknown';
  readonly message: string;
  /** Lines for mosquitto.conf that mend it; null where nothing is to change. @source mosquitto.conf(5) */
  readonly setting: string | null;
}

const PERSISTENCE = 'persistence true\nautosave_interval 1\nautosave_on_changes true';
const NO_LIMIT = 'max_queued_messages 0\nmax_queued_bytes 0';
const EXPIRATION = 'persistent_client_expiration 14d';
const NO_ANONYMOUS = 'allow_anonymous false\npassword_file /mosquitto/config/passwords';

/** Asks a broker elsewhere all that decides whether readings survive, and says what to change. */
export function auditBroker(facts: BrokerFacts): AuditFinding[] {
  return [session(facts), persistence(facts), dropped(facts), subscription(facts), anonymous(facts)];
}

const finding = (
  name: FindingName,
  state: AuditFinding['state'],
  message: string,
  setting: string | null = null,
): AuditFinding => ({ name, state, message, setting });

const wasRestarted = ({ leftAtMs, startedAtMs }: BrokerFacts): boolean =>
  leftAtMs !== null && startedAtMs !== null && startedAtMs > leftAtMs;

function session(facts: BrokerFacts): AuditFinding {
  if (facts.sessionResumed === null) return finding('session', 'unknown', 'There was no connection yet.');
  if (facts.sessionResumed) return finding('session', 'good', 'The broker knew us and handed on what came meanwhile.');
  if (!facts.wasKnown)
    return finding('session', 'good', 'The broker knows us from now on and keeps what comes for us.');
  return wasRestarted(facts)
    ? finding(
        'session',
        'act',
        'The broker was started again without our session: what it took meanwhile is lost.',
        PERSISTENCE,
      )
    : finding('session', 'act', 'The broker had forgotten our session: what it took meanwhile is lost.', EXPIRATION);
}

function persistence(facts: BrokerFacts): AuditFinding {
  if (wasRestarted(facts) && facts.sessionResumed === true)
    return finding('persistence', 'good', 'The broker kept our session over a restart of its own.');
  if (wasRestarted(facts) && facts.wasKnown)
    return finding('persistence', 'act', 'The broker does not write to disk what waits for us.', PERSISTENCE);
  const message = 'Whether the broker writes to disk what waits for us shows only when it is started again.';
  return finding('persistence', 'unknown', message, PERSISTENCE);
}

function dropped({ droppedTotal, droppedSeen }: BrokerFacts): AuditFinding {
  if (droppedTotal === null) return finding('dropped', 'unknown', 'The broker does not tell what it throws away.');
  if (droppedSeen > 0)
    return finding('dropped', 'act', `The broker threw away ${droppedSeen} messages that waited.`, NO_LIMIT);
  const message =
    droppedTotal === 0 ? 'The broker threw nothing away.' : 'The broker threw nothing away since we look.';
  return finding('dropped', 'good', message);
}

function subscription({ grantedQos }: BrokerFacts): AuditFinding {
  if (grantedQos === null) return finding('subscription', 'unknown', 'There was no answer to our subscription yet.');
  if (grantedQos >= 128)
    return finding(
      'subscription',
      'act',
      'The broker refuses our subscription: allow our user to read the topics of the probes.',
    );
  return grantedQos >= 1
    ? finding('subscription', 'good', 'The broker waits for our answer to each message.')
    : finding(
        'subscription',
        'act',
        'The broker does not wait for our answers: what comes while we are away is lost.',
        'max_qos 2',
      );
}

function anonymous({ anonymousAllowed }: BrokerFacts): AuditFinding {
  if (anonymousAllowed === null)
    return finding('anonymous', 'unknown', 'Whether anybody may publish was not tried yet.');
  return anonymousAllowed
    ? finding('anonymous', 'act', 'Anybody who reaches the broker may publish readings.', NO_ANONYMOUS)
    : finding('anonymous', 'good', 'Only who has a name and a password may publish.');
}
