import type { VerdictKind } from '../../../src/contract/state.ts';
import { VERDICT_WORD } from '../../format/words.ts';
import { Sign } from './sign.tsx';

/** Sign and word of a verdict: the largest thing on a page. */
export function StateWord({ kind, heading = false }: { readonly kind: VerdictKind; readonly heading?: boolean }) {
  const content = (
    <>
      <Sign kind={kind} />
      {VERDICT_WORD[kind]}
    </>
  );
  return heading ? <h1 class="state">{content}</h1> : <p class="state">{content}</p>;
}
