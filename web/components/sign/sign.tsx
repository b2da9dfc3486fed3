import type { VerdictKind } from '../../../src/contract/state.ts';
import './sign.css';

interface Props {
  readonly kind: VerdictKind;
  /** An alert that is over shows its sign as an outline. */
  readonly over?: boolean;
}

/** The sign of a verdict: a silhouette that can be told apart without colour. The word always stands beside it. */
export function Sign({ kind, over = false }: Props) {
  return (
    <svg class={`sign${over ? ' over' : ''}`} viewBox="0 0 48 48" aria-hidden="true">
      {over ? <Outline kind={kind} /> : <Silhouette kind={kind} />}
    </svg>
  );
}

/** The sign alone, for a drawing that has its own place for it: 48 by 48. */
export function Silhouette({ kind }: { readonly kind: VerdictKind }) {
  switch (kind) {
    case 'ready':
      return (
        <>
          <path fill="currentColor" d="M1 3h5v42H1zM42 3h5v42h-5z" />
          <circle cx="24" cy="24" r="13.5" fill="currentColor" />
        </>
      );
    case 'wait':
      return (
        <g stroke="currentColor" stroke-width="4.5" stroke-linejoin="round">
          <path d="M10 6h28L24 24z" fill="none" />
          <path d="M24 24 38 42H10z" fill="currentColor" />
        </g>
      );
    case 'act':
      return <path fill="currentColor" d="M2 5h25l19 19-19 19H2z" />;
    case 'unknown':
      return <circle {...RING} stroke-dasharray="21 8.06" stroke-dashoffset="-4" />;
  }
}

const RING = { cx: 24, cy: 24, r: 18.5, fill: 'none', stroke: 'currentColor', 'stroke-width': 6 } as const;

function Outline({ kind }: { readonly kind: VerdictKind }) {
  if (kind === 'unknown')
    return <circle {...RING} stroke-width="3" stroke-dasharray="21 8.06" stroke-dashoffset="-4" />;
  const path = kind === 'act' ? 'M4.5 8H26l16 16-16 16H4.500z' : 'M3 4v40M45 4v40M24 12a12 12 0 1 0 .01 0z';
  return <path d={path} fill="none" stroke="currentColor" stroke-width="4" />;
}
