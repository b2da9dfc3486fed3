import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';

/** A page that is not part of the first view: fetched when it is opened, or ahead of that once nothing else is to do. */
export interface LaterPage {
  readonly Page: ComponentType;
  fetch(): Promise<void>;
}

export function laterPage(load: () => Promise<ComponentType>): LaterPage {
  let loaded: ComponentType | null = null;
  async function fetch(): Promise<void> {
    loaded = await load();
  }
  function Page() {
    const [state, setState] = useState<'waiting' | 'here' | 'lost'>(loaded === null ? 'waiting' : 'here');
    useEffect(() => {
      if (loaded !== null) return;
      fetch().then(
        () => setState('here'),
        () => setState('lost'),
      );
    }, []);
    const Loaded = loaded;
    if (Loaded !== null) return <Loaded />;
    return (
      <p class="loading">
        {state === 'lost' ? 'This page could not be fetched: Quietkeg does not answer. Open it again in a while.' : ''}
      </p>
    );
  }
  return { Page, fetch };
}
