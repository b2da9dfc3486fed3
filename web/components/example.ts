import type { ComponentChildren } from 'preact';

/** One state of a component, as the page of examples shows it and the accessibility check reads it. */
export interface Example {
  readonly name: string;
  readonly render: () => ComponentChildren;
}
