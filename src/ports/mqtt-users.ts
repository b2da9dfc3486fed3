/** A user of the embedded broker. */
export interface MqttUser {
  readonly name: string;
  /** Of the password. */
  readonly hash: string;
  /** Topic filters. */
  readonly publish: readonly string[];
  readonly subscribe: readonly string[];
}

/** Durable when a method returns. The command line writes here too, so nothing read from it may be kept for long. */
export interface MqttUsers {
  all(): readonly MqttUser[];
  user(name: string): MqttUser | null;
  put(user: MqttUser): void;
  /** False if there was none. */
  remove(name: string): boolean;
}
