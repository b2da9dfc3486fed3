export type LogFields = Readonly<Record<string, string | number | boolean | null>>;

/** For the person who runs the service. Each line says what happened and what it concerns. */
export interface Log {
  info(message: string, fields?: LogFields): void;
  warn(message: string, fields?: LogFields): void;
  error(message: string, fields?: LogFields): void;
}
