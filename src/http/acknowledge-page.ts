import type { LinkState } from '../app/acknowledge-links.ts';

const STYLE =
  'body{font:1.125rem/1.5 system-ui,sans-serif;max-width:34rem;margin:2rem auto;padding:0 1rem;color-scheme:light dark}button{font:inherit;min-height:3rem;padding:0 1.5rem}';
/** The one style that the page's content policy lets in; a test works it out anew. */
export const ACKNOWLEDGE_STYLE_HASH = 'sha256-auFuO63N6nqArErEdL5FSbxNHEiyyQ0oHRw+DQh/fnY=';

/** A page that needs no script: what the alert is about, how it stands, and one button while that helps. */
export function acknowledgePage(state: LinkState, isSent: boolean): string {
  const { title, words } = said(state, isSent);
  const about = 'episode' in state ? [state.episode.message, state.episode.advice] : [];
  const paragraphs = [...about, ...words].filter((text) => text !== '').map((text) => `<p>${escaped(text)}</p>`);
  // Without an action the form goes to where the page came from, whatever a proxy puts before it.
  const form =
    state.kind === 'usable' && !isSent ? '<form method="post"><button type="submit">Acknowledge</button></form>' : '';
  return `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>${title} – Quietkeg</title>
<style>${STYLE}</style>
<main>
<h1>${title}</h1>
${paragraphs.join('\n')}
${form}
</main>
</html>
`;
}

function said({ kind }: LinkState, isSent: boolean): { readonly title: string; readonly words: readonly string[] } {
  const look = 'Log in to Quietkeg to see how things are.';
  switch (kind) {
    case 'usable':
      return isSent
        ? { title: 'Acknowledged', words: ['Nobody else is called for this. You will hear when it is over.'] }
        : { title: 'An alert', words: ['Acknowledge it to say that you look after it: then nobody else is called.'] };
    case 'acknowledged':
      return {
        title: 'Acknowledged already',
        words: ['Somebody looks after this. There is nothing to do here.'],
      };
    case 'over':
      return { title: 'This is over', words: ['The alert has ended, so there is nothing to acknowledge.'] };
    case 'expired':
      return { title: 'This link has expired', words: ['Links in messages work for 7 days.', look] };
    case 'renewed':
      return { title: 'This link was ended', words: ['The links in messages were renewed since.', look] };
    case 'unknown':
      return {
        title: 'This link is not known',
        words: ['It is not whole, or what it was for is no longer kept. Open it from the message itself.', look],
      };
  }
}

function escaped(text: string): string {
  const names: Readonly<Record<string, string>> = { '&': 'amp', '<': 'lt', '>': 'gt', '"': 'quot', "'": '#39' };
  return text.replace(/[&<>"']/g, (sign) => `&${names[sign]};`);
}
