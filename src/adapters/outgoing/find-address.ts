import { lookup } from 'node:dns/promises';
import { isIP } from 'node:net';
import { addressKind, isAllowedTarget } from '../../domain/delivery/address.ts';
import type { FindAddress } from '../../ports/outgoing.ts';

/** Looks a name up; replaced in tests. */
export type Lookup = (host: string) => Promise<readonly { readonly address: string; readonly family: number }[]>;

const systemLookup: Lookup = (host) => lookup(host, { all: true, verbatim: false });

/**
 * Finds the address of a host and refuses those to which nothing may be sent. If one of several addresses is forbidden, so is
 * the name: nobody who means well mixes them.
 */
export function guardedFindAddress(allowLocal: boolean, look: Lookup = systemLookup): FindAddress {
  return async (host) => {
    const bare = host.replace(/^\[(.*)\]$/, '$1');
    let found: Awaited<ReturnType<Lookup>>;
    try {
      found = isIP(bare) === 0 ? await look(bare) : [{ address: bare, family: isIP(bare) }];
    } catch (error) {
      return {
        ok: false,
        why: `the name ${host} is not known (${(error as NodeJS.ErrnoException).code ?? 'no answer'})`,
      };
    }
    for (const { address } of found) {
      const kind = addressKind(address);
      if (isAllowedTarget(kind, allowLocal)) continue;
      const isLocal = kind === 'loopback' || kind === 'private';
      const how = isLocal ? `; outgoing.allowLocal allows it` : '';
      return { ok: false, why: `${host} is at ${address}, a ${kind} address: nothing is sent there${how}` };
    }
    const [first] = found;
    if (first === undefined) return { ok: false, why: `the name ${host} has no address` };
    return { ok: true, address: first.address, family: first.family === 6 ? 6 : 4 };
  };
}
