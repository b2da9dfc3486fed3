export type Route =
  | { readonly page: 'now' }
  | { readonly page: 'keg'; readonly kegId: string }
  | { readonly page: 'gas-check'; readonly kegId: string }
  | { readonly page: 'plan'; readonly kegId: string }
  | { readonly page: 'fill'; readonly kegId: string }
  | { readonly page: 'fills' }
  | { readonly page: 'fill-record'; readonly fillId: string }
  | { readonly page: 'batches' }
  | { readonly page: 'batch'; readonly batchId: string }
  | { readonly page: 'probes' }
  | { readonly page: 'alerts' }
  | { readonly page: 'rules' }
  | { readonly page: 'alert-health' }
  | { readonly page: 'settings' }
  | { readonly page: 'telling' }
  /** Opened once by a link that lets this screen in to look. */
  | { readonly page: 'tablet' }
  | { readonly page: 'nowhere'; readonly path: string };

/** Pages of a keg below its own. */
const KEG_PAGES = ['gas-check', 'plan', 'fill'] as const;
const LISTS = ['batches', 'fills', 'probes', 'alerts', 'settings', 'tablet'] as const;
export const RULES_PATH = '/alerts/rules';
export const ALERT_HEALTH_PATH = '/alerts/health';
export const TELLING_PATH = '/settings/telling';
const BELOW = { [RULES_PATH]: 'rules', [ALERT_HEALTH_PATH]: 'alert-health', [TELLING_PATH]: 'telling' } as const;

/** What an address shows. The service answers all of these with the same page. */
export function routeOf(path: string): Route {
  const parts = path.split('/').filter((part) => part !== '');
  const [first, second, third] = parts;
  if (first === undefined) return { page: 'now' };
  const ofThisKeg = KEG_PAGES.find((page) => page === third);
  const ofKeg = parts.length === 2 ? 'keg' : parts.length === 3 ? ofThisKeg : undefined;
  if (first === 'kegs' && second !== undefined && ofKeg !== undefined) {
    const kegId = decoded(second);
    return kegId === null ? { page: 'nowhere', path } : { page: ofKeg, kegId };
  }
  if (first === 'batches' && second !== undefined && parts.length === 2) {
    const batchId = decoded(second);
    return batchId === null ? { page: 'nowhere', path } : { page: 'batch', batchId };
  }
  if (first === 'fills' && second !== undefined && parts.length === 2) {
    const fillId = decoded(second);
    return fillId === null ? { page: 'nowhere', path } : { page: 'fill-record', fillId };
  }
  const list = LISTS.find((page) => page === first);
  if (parts.length === 1 && list !== undefined) return { page: list };
  const listed = Object.entries(BELOW).find(([known]) => known === `/${parts.join('/')}`);
  if (listed !== undefined) return { page: listed[1] };
  return { page: 'nowhere', path };
}

export const pathOfKeg = (kegId: string): string => `/kegs/${encodeURIComponent(kegId)}`;
export const pathOfBatch = (batchId: string): string => `/batches/${encodeURIComponent(batchId)}`;
export const gasCheckPathOf = (kegId: string): string => `${pathOfKeg(kegId)}/gas-check`;
export const planPathOf = (kegId: string): string => `${pathOfKeg(kegId)}/plan`;
export const fillPathOf = (kegId: string): string => `${pathOfKeg(kegId)}/fill`;
export const pathOfFill = (fillId: string): string => `/fills/${encodeURIComponent(fillId)}`;

function decoded(text: string): string | null {
  try {
    return decodeURIComponent(text);
  } catch {
    return null;
  }
}
