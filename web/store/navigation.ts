import { computed, signal } from '@preact/signals';
import { routeOf } from './routes.ts';

const path = signal(location.pathname);
export const route = computed(() => routeOf(path.value));

/** Opens a page of ours without loading anything anew. */
export function open(target: string): void {
  if (target === path.peek()) return;
  history.pushState(null, '', target);
  path.value = location.pathname;
  scrollTo(0, 0);
}

/** Follows the back button, and turns plain clicks on our own links into `open`. */
export function startNavigation(): void {
  addEventListener('popstate', () => {
    path.value = location.pathname;
  });
  document.addEventListener('click', (event) => {
    if (event.defaultPrevented || event.button !== 0) return;
    if (event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return;
    const link = event.target instanceof Element ? event.target.closest('a[href]') : null;
    const href = link?.getAttribute('href') ?? '';
    if (!href.startsWith('/') || href.startsWith('/api/') || link?.hasAttribute('download')) return;
    event.preventDefault();
    open(href);
  });
}
