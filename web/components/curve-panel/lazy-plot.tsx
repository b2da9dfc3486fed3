import { useEffect, useRef, useState } from 'preact/hooks';
import type { Plot, PlotContent, PlotSpec } from '../../charts/plot.ts';
import { coloursTurn } from '../../store/preferences.ts';
import { useSize } from '../use-size.ts';

interface Props {
  readonly spec: PlotSpec;
  readonly content: PlotContent;
  readonly height: number;
  readonly row: number | null;
  readonly onSpan: (fromMs: number, toMs: number) => void;
  readonly onRow: (index: number | null) => void;
}

type Maker = typeof Plot;

/** Holds a chart: its code is fetched when the first one is shown, it is made once, then only fed. */
export function LazyPlot({ spec, content, height, row, onSpan, onRow }: Props) {
  const [ref, size] = useSize<HTMLDivElement>();
  const [maker, setMaker] = useState<{ make: Maker } | null>(null);
  const plot = useRef<Plot | null>(null);
  const calls = useRef({ onSpan, onRow });
  calls.current = { onSpan, onRow };
  const width = size?.width ?? 0;
  const colours = coloursTurn.value;
  useEffect(() => {
    let wanted = true;
    void import('../../charts/plot.ts').then((module) => wanted && setMaker({ make: module.Plot }));
    return () => {
      wanted = false;
    };
  }, []);
  useEffect(() => {
    const host = ref.current;
    if (maker === null || host === null || width === 0) return;
    const made = new maker.make(
      host,
      spec,
      content,
      { width, height },
      {
        onSpan: (from, to) => calls.current.onSpan(from, to),
        onRow: (index) => calls.current.onRow(index),
      },
    );
    plot.current = made;
    return () => {
      made.destroy();
      plot.current = null;
    };
    // Made anew only when what is drawn is another thing; size and content are fed below.
  }, [maker, spec, width === 0]);
  useEffect(() => plot.current?.show(content), [content]);
  useEffect(() => {
    if (width > 0) plot.current?.resize({ width, height });
  }, [width, height]);
  useEffect(() => plot.current?.redraw(), [colours]);
  useEffect(() => plot.current?.point(row), [row]);
  return <div class="plot" ref={ref} style={{ height: `${height}px` }} />;
}
