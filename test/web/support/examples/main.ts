import { h, render } from 'preact';
import '../../../../web/styles/tokens.css';
import '../../../../web/styles/base.css';
import type { Example } from '../../../../web/components/example.ts';

/** Shows one example of one component at a time: `showExample` is called by the test, and by hand from the console. */
const modules = import.meta.glob<{ examples: readonly Example[] }>('../../../../web/components/*/examples.ts', {
  eager: true,
});
const all = Object.entries(modules).flatMap(([path, { examples }]) =>
  examples.map((example) => ({ component: path.split('/').at(-2) ?? '', example })),
);
const app = document.getElementById('app');

declare global {
  interface Window {
    exampleNames: readonly { readonly component: string; readonly name: string }[];
    showExample(index: number, theme: 'light' | 'dark'): void;
  }
}

window.exampleNames = all.map(({ component, example }) => ({ component, name: example.name }));
window.showExample = (index, theme) => {
  document.documentElement.dataset.theme = theme;
  const chosen = all[index];
  if (app === null || chosen === undefined) throw new Error(`there is no example ${index}`);
  render(null, app);
  render(h('div', { class: 'example' }, chosen.example.render()), app);
};
