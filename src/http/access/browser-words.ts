const SYSTEMS: readonly (readonly [RegExp, string])[] = [
  [/iPad/, 'iPad'],
  [/iPhone/, 'iPhone'],
  [/Android/, 'Android'],
  [/Windows/, 'Windows'],
  [/Mac OS X/, 'macOS'],
  [/CrOS/, 'ChromeOS'],
  [/Linux/, 'Linux'],
];
const BROWSERS: readonly (readonly [RegExp, string])[] = [
  [/Firefox\//, 'Firefox'],
  [/Edg\//, 'Edge'],
  [/Chrom(?:e|ium)\//, 'Chrome'],
  [/Safari\//, 'Safari'],
];

/** What a browser says of itself, in a few words, so that its owner knows it again in a list. Anybody can claim anything here. */
export function browserWords(userAgent: string | undefined): string {
  const text = (userAgent ?? '').slice(0, 500);
  const system = SYSTEMS.find(([pattern]) => pattern.test(text))?.[1];
  const browser = BROWSERS.find(([pattern]) => pattern.test(text))?.[1];
  if (browser === undefined) return system === undefined ? 'a program' : `a program on ${system}`;
  return system === undefined ? browser : `${browser} on ${system}`;
}
