import type { RefObject } from 'preact';
import { useLayoutEffect, useRef, useState } from 'preact/hooks';

export interface Size {
  readonly width: number;
  readonly height: number;
}

/** The size of an element in whole pixels, kept up to date: charts are drawn to the pixel. Null before the first layout. */
export function useSize<E extends HTMLElement>(): [RefObject<E | null>, Size | null] {
  const ref = useRef<E>(null);
  const [size, setSize] = useState<Size | null>(null);
  useLayoutEffect(() => {
    const element = ref.current;
    if (element === null) return;
    const measure = (): void => {
      const { width, height } = element.getBoundingClientRect();
      const next = { width: Math.round(width), height: Math.round(height) };
      setSize((last) => (last?.width === next.width && last.height === next.height ? last : next));
    };
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    measure();
    return () => observer.disconnect();
  }, []);
  return [ref, size];
}
