import { useRef, useState } from 'preact/hooks';
import './copy-line.css';

/** A command to copy. On a plain address there is no clipboard for pages: then the text is marked for the keyboard. */
export function CopyLine({ text, label }: { readonly text: string; readonly label: string }) {
  const ref = useRef<HTMLElement>(null);
  const [said, setSaid] = useState('Copy');
  const copy = async (): Promise<void> => setSaid((await copyText(text, ref.current)) ? 'Copied' : 'Marked: copy it');
  return (
    <div class="copy-line">
      <code ref={ref}>{text}</code>
      <button class="btn" type="button" onClick={() => void copy()}>
        {said}
        <span class="aside"> {label}</span>
      </button>
    </div>
  );
}

async function copyText(text: string, element: HTMLElement | null): Promise<boolean> {
  if (isSecureContext) {
    try {
      await navigator.clipboard.writeText(text);
      return true;
    } catch {
      // Not allowed: mark the text instead.
    }
  }
  const selection = getSelection();
  if (element === null || selection === null) return false;
  selection.selectAllChildren(element);
  return false;
}
