import '../../styles/lists.css';

interface Props {
  /** What the pages are of, for screen readers. */
  readonly label: string;
  readonly here: string;
  readonly pages: readonly (readonly [path: string, label: string])[];
}

/** Pages that belong together, as plain words below the heading; the open one is bold. */
export function SubPages({ label, here, pages }: Props) {
  return (
    <nav class="sub-pages" aria-label={label}>
      <ul>
        {pages.map(([path, name]) => (
          <li key={path}>
            <a href={path} aria-current={path === here ? 'page' : undefined}>
              {name}
            </a>
          </li>
        ))}
      </ul>
    </nav>
  );
}
