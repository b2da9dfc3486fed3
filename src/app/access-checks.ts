import { normalised, passphraseFault } from '../domain/access/passphrase.ts';
import { ROLES as ALL, type Role as AnyRole } from '../domain/access/role.ts';
import { filterFault } from '../domain/access/topic-rule.ts';

export type Role = AnyRole;
export const ROLES: readonly Role[] = ALL;

/** What is wrong with a new passphrase, in words; null if it will do. */
export function checkPassphrase(passphrase: string): string | null {
  return passphraseFault(passphrase);
}

/** The form that is hashed: the same whatever keyboard it was typed on. */
export function preparePassphrase(passphrase: string): string {
  return normalised(passphrase);
}

/** What is wrong with a topic filter, in words; null if it will do. */
export function checkFilter(filter: string): string | null {
  return filterFault(filter);
}
