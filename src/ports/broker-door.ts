/** Somebody who connects to the embedded broker. */
export interface BrokerVisitor {
  /** Null: they gave none. */
  readonly name: string | null;
  readonly password: string | null;
  readonly address: string;
  /** From this machine itself. */
  readonly isLocal: boolean;
}

/** What somebody may do who came in. */
export interface BrokerRights {
  mayPublish(topic: string): boolean;
  maySubscribe(filter: string): boolean;
  /** False once their user was removed or changed. */
  isStillGood(): boolean;
}

/** Decides who may come in to the embedded broker, and what they may do there. */
export interface BrokerDoor {
  /** Null if they may not. */
  enter(visitor: BrokerVisitor): Promise<BrokerRights | null>;
}
