import type { Route } from '../../store/routes.ts';
import './top-line.css';

const PAGES: readonly { readonly page: Route['page']; readonly label: string; readonly href: string }[] = [
  { page: 'now', label: 'Now', href: '/' },
  { page: 'batches', label: 'Batches', href: '/batches' },
  { page: 'probes', label: 'Probes', href: '/probes' },
  { page: 'alerts', label: 'Alerts', href: '/alerts' },
  { page: 'settings', label: 'Settings', href: '/settings' },
];

/** Pages that stand below another. */
const BELOW: Readonly<Partial<Record<Route['page'], Route['page']>>> = {
  rules: 'alerts',
  'alert-health': 'alerts',
  telling: 'settings',
};

interface Props {
  readonly page: Route['page'];
  /** Open alerts that wait for somebody. */
  readonly openAlerts: number;
  /** One of them is more than news. */
  readonly urgent: boolean;
}

/** Name and pages as plain words; the open one stands between two uprights. At the thumb on a phone. */
export function TopLine({ page, openAlerts, urgent }: Props) {
  return (
    <header class="top">
      <a class="mark" href="/">
        <svg viewBox="0 0 60 52" aria-hidden="true">
          <path fill="currentColor" d="M2 2h6v48H2zM52 2h6v48h-6z" />
          <path fill="currentColor" d="M12 26C18 25 22 14 30 14s12 11 18 12c-6 1-10 12-18 12S18 27 12 26z" />
        </svg>
        Quietkeg
      </a>
      <nav aria-label="Pages">
        <ul class="pages">
          {PAGES.map((entry) => (
            <li key={entry.page}>
              <a
                href={entry.href}
                aria-current={entry.page === page ? 'page' : entry.page === BELOW[page] ? 'true' : undefined}
              >
                {entry.label}
                {entry.page === 'alerts' && openAlerts > 0 && (
                  <span class={urgent ? 'count urgent' : 'count'}>
                    {openAlerts}
                    <span class="aside"> open</span>
                  </span>
                )}
              </a>
            </li>
          ))}
        </ul>
      </nav>
    </header>
  );
}
