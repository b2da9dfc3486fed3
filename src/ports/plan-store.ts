/** Keeps fill plans and the key of their calendar. A local file: each write is durable when it returns. */
export interface PlanStore {
  /** Bodies as they were kept, by id. */
  all(): ReadonlyMap<string, unknown>;
  put(planId: string, body: unknown): void;
  remove(planId: string): void;
  /** The secret part of the calendar's address; null: none was made. */
  calendarKey(): string | null;
  saveCalendarKey(key: string): void;
}
