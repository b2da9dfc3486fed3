/** What somebody may do. Each role may do what the ones before it may. */
export const ROLES = ['viewer', 'operator', 'owner'] as const;
/** Looks only; enters what is done with the kegs; changes everything. */
export type Role = (typeof ROLES)[number];

/** Whether a role is enough where another is needed. */
export function mayDo(role: Role, needed: Role): boolean {
  return ROLES.indexOf(role) >= ROLES.indexOf(needed);
}
