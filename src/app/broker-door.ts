import { isWithin } from '../domain/access/topic-rule.ts';
import { matchesAny } from '../domain/topic-filter.ts';
import type { BrokerDoor, BrokerRights, BrokerVisitor } from '../ports/broker-door.ts';
import type { Clock } from '../ports/clock.ts';
import type { Log } from '../ports/log.ts';
import type { MqttUser, MqttUsers } from '../ports/mqtt-users.ts';
import type { Secrets } from '../ports/secrets.ts';
import { Attempts } from './attempts.ts';

export interface BrokerDoorOptions {
  readonly users: MqttUsers;
  readonly secrets: Secrets;
  readonly clock: Clock;
  readonly log: Log;
  /** Something else keeps strangers out: until there are users, anybody may come in. */
  readonly trustNetwork: boolean;
}

/** Without a name one comes in from this machine alone; with one, one may do what the user's topic rules say. */
export class UserBrokerDoor implements BrokerDoor {
  readonly #options: BrokerDoorOptions;
  readonly #attempts: Attempts;
  /**
   * Digests of passwords that were found right, by hash: probes come back often, and proving a password is slow on purpose.
   * The key is new with every start and nowhere else.
   */
  readonly #proven = new Map<string, string>();
  readonly #key: string;

  constructor(options: BrokerDoorOptions) {
    this.#options = options;
    this.#attempts = new Attempts(options.clock);
    this.#key = options.secrets.newToken();
  }

  async enter({ name, password, address, isLocal }: BrokerVisitor): Promise<BrokerRights | null> {
    const { users, log, trustNetwork } = this.#options;
    if (name === null) return isLocal || (trustNetwork && users.all().length === 0) ? everything : null;
    const user = users.user(name);
    if (user !== null && password !== null && this.#isProven(user, password)) return this.#rightsOf(user);
    const attempt = this.#attempts.begin(address, `mqtt ${name}`);
    if (!attempt.ok || this.#options.secrets.isBusy()) return null;
    const isRight = user !== null && password !== null && (await this.#options.secrets.verify(password, user.hash));
    if (!isRight) {
      log.warn('a wrong name or password was given to the broker', { name: name.slice(0, 60), address });
      return null;
    }
    attempt.succeeded();
    if (this.#proven.size > PROVEN_MAX) this.#proven.clear();
    this.#proven.set(user.hash, this.#digest(password));
    return this.#rightsOf(user);
  }

  #isProven({ hash }: MqttUser, password: string): boolean {
    const digest = this.#proven.get(hash);
    return digest !== undefined && this.#options.secrets.isSame(digest, this.#digest(password));
  }

  #digest(password: string): string {
    return this.#options.secrets.digest(`${this.#key} ${password}`);
  }

  #rightsOf(user: MqttUser): BrokerRights {
    return {
      mayPublish: (topic) => matchesAny(user.publish, topic),
      maySubscribe: (filter) => user.subscribe.some((allowed) => isWithin(filter, allowed)),
      isStillGood: () => {
        const now = this.#options.users.user(user.name);
        return (
          now?.hash === user.hash &&
          now.publish.join() === user.publish.join() &&
          now.subscribe.join() === user.subscribe.join()
        );
      },
    };
  }
}

const PROVEN_MAX = 1000;

const everything: BrokerRights = { mayPublish: () => true, maySubscribe: () => true, isStillGood: () => true };
