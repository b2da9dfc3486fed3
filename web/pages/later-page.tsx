import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';

/** A page that is not part of the first view: fetched when it is opened, or ahead of that once nothing else is to do. */
export interface LaterPage<P> {
  readonly Page: ComponentType<P>;
  fetch(): Promise<void>;
}

export function laterPage<P extends object>(load: () => Promise<ComponentType<P>>): LaterPage<P> {
  let loaded: ComponentType<P> | null = null;
  async function fetch(): Promise<void> {
    loaded = await load();
  }
  function Page(props: P) {
    const [state, setState] = useState<'waiting' | 'here' | 'lost'>(loaded === null ? 'waiting' : 'here');
    useEffect(() => {
      if (loaded !== null) return;
      fetch().then(
        () => setState('here'),
        () => setState('lost'),
      );
    }, []);
    const Loaded = loaded;
    if (Loaded !== null) return <Loaded {...props} />;
    return (
      <p class="loading">
        {state === 'lost' ? 'This page could not be fetched: Quietkeg does not answer. Open it again in a while.' : ''}
      </p>
    );
  }
  return { Page, fetch };
}
