/** What a relay's template may speak of. */
export const PLACEHOLDERS = [
  'id',
  'what',
  'level',
  'subject',
  'text',
  'details',
  'link',
  'acknowledge',
  'keg',
  'address',
  'time',
] as const;
export type Placeholder = (typeof PLACEHOLDERS)[number];
export type TemplateValues = Readonly<Record<Placeholder, string>>;

/** How a value is written so that it stays a value inside its surroundings. */
export type Escaping = 'json' | 'url' | 'plain';

const PATTERN = /\{\{([^{}]*)\}\}/g;

/** The template with every {{placeholder}} filled in, once: a value that looks like a placeholder stays text. */
export function fillTemplate(template: string, values: TemplateValues, escaping: Escaping): string {
  return template.replace(PATTERN, (whole, name: string) => {
    const placeholder = PLACEHOLDERS.find((one) => one === name.trim());
    return placeholder === undefined ? whole : escaped(values[placeholder], escaping);
  });
}

/** Placeholders of a template that nobody knows. */
export function unknownPlaceholders(template: string): string[] {
  const names = [...template.matchAll(PATTERN)].map(([, name = '']) => name.trim());
  return names.filter((name) => !PLACEHOLDERS.some((one) => one === name));
}

/** By the type of the body: values inside JSON or a form must not end it. */
export function escapingFor(contentType: string): Escaping {
  if (/^application\/([\w.-]+\+)?json\b/i.test(contentType)) return 'json';
  return /^application\/x-www-form-urlencoded\b/i.test(contentType) ? 'url' : 'plain';
}

function escaped(value: string, escaping: Escaping): string {
  switch (escaping) {
    case 'json':
      return JSON.stringify(value).slice(1, -1);
    case 'url':
      // A half of a character cannot be encoded.
      return encodeURIComponent(value.toWellFormed());
    case 'plain':
      return value;
  }
}
