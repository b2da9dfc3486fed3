export interface IncomingMessage {
  readonly topic: string;
  readonly payload: Uint8Array;
  readonly retained: boolean;
  /** How it came to us. At 0 nobody sends it again if it is lost on the way. */
  readonly qos: 0 | 1 | 2;
}

/** Takes a message; calls `done` when it is safe to acknowledge, or with an error when it is not. */
export type Receive = (message: IncomingMessage, done: (error: Error | null) => void) => void;

/** What a broker elsewhere shows of how well it keeps messages for us. */
export type BrokerNews =
  /** `sessionResumed`: it knew us and kept what came meanwhile. */
  | { readonly kind: 'connected'; readonly sessionResumed: boolean }
  | { readonly kind: 'disconnected' }
  /** The least quality of service that it granted to our subscriptions; 128 and above is a refusal. */
  | { readonly kind: 'granted'; readonly qos: number }
  /** Messages it has thrown away since it started, for whomever they were. */
  | { readonly kind: 'dropped'; readonly total: number }
  | { readonly kind: 'uptime'; readonly seconds: number }
  | { readonly kind: 'version'; readonly text: string }
  /** Whether it lets anybody in without a name and a password. */
  | { readonly kind: 'anonymous'; readonly isAllowed: boolean };

/** The MQTT broker, inside this process or elsewhere. */
export interface Broker {
  /** Whoever wants to know how well messages are kept says so before the start. An embedded broker has no news. */
  watch(listener: (news: BrokerNews) => void): void;
  /** Starts to listen or connect; messages of `filters` go to `receive`, acknowledged after its `done`. */
  start(filters: readonly string[], receive: Receive): Promise<void>;
  /** Replaces the topic filters. */
  listenTo(filters: readonly string[]): Promise<void>;
  /** Publishes at QoS 1; while there is no connection, nothing is published. */
  publish(topic: string, payload: string, retain: boolean): void;
  /** Null while it works; else what is wrong. */
  trouble(): string | null;
  stop(): Promise<void>;
}
