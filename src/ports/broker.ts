export interface IncomingMessage {
  readonly topic: string;
  readonly payload: Uint8Array;
  readonly retained: boolean;
}

/** Takes a message; calls `done` when it is safe to acknowledge, or with an error when it is not. */
export type Receive = (message: IncomingMessage, done: (error: Error | null) => void) => void;

/** The MQTT broker, inside this process or elsewhere. */
export interface Broker {
  /** Starts to listen or connect; messages of `filters` go to `receive`, acknowledged after its `done`. */
  start(filters: readonly string[], receive: Receive): Promise<void>;
  /** Replaces the topic filters. */
  listenTo(filters: readonly string[]): Promise<void>;
  /** Publishes at QoS 1; while there is no connection, only the newest message of a retained topic is kept. */
  publish(topic: string, payload: string, retain: boolean): void;
  /** Null while it works; else what is wrong. */
  trouble(): string | null;
  stop(): Promise<void>;
}
