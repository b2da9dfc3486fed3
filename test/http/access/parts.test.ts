import { describe, expect, test } from 'vitest';
import { browserWords } from '../../../src/http/access/browser-words.ts';
import { clearCookie, cookieToken, setCookie } from '../../../src/http/access/cookies.ts';
import { hostNameOf, isLoopbackName, isOwnName, isOwnOrigin } from '../../../src/http/access/host.ts';
import { BURST, PER_SECOND, RequestLimit } from '../../../src/http/access/request-limit.ts';
import { responseHeaders } from '../../../src/http/access/response-headers.ts';

describe('names', () => {
  test.each<[string | undefined, string | null]>([
    ['localhost', 'localhost'],
    ['LOCALHOST:8420', 'localhost'],
    ['keg.local.', 'keg.local'],
    ['keg.local.:80', 'keg.local'],
    ['[::1]:8420', '[::1]'],
    ['192.168.1.5:8420', '192.168.1.5'],
    [undefined, null],
    ['', null],
    ['a b', null],
    ['keg.local:port', null],
    ['keg.local:123456', null],
    ['keg.local/evil', null],
    ['user@keg.local', null],
    ['keg.local, other', null],
    ["keg.local'; script-src *", null],
    ['x'.repeat(256), null],
  ])('%j is called %j', (header, name) => {
    expect(hostNameOf(header)).toBe(name);
  });

  test.each<[string, boolean]>([
    ['127.0.0.1', true],
    ['192.168.1.5', true],
    ['[fd00::5]', true],
    ['localhost', true],
    ['keg.localhost', true],
    ['keg-box', true],
    ['evil.example', false],
    ['127.0.0.1.evil.example', false],
    ['keg-box.evil.example', false],
    ['localhost.evil.example', false],
    ['2130706433', false],
    ['0x7f.1', false],
  ])('%s is ours: %s', (name, ours) => {
    expect(isOwnName(name, ['keg-box'])).toBe(ours);
  });

  test.each<[string, boolean]>([
    ['127.0.0.1', true],
    ['127.8.9.1', true],
    ['[::1]', true],
    ['localhost', true],
    ['keg.localhost', false],
    ['192.168.1.5', false],
    ['[::2]', false],
  ])('%s names this machine alone: %s', (name, alone) => {
    expect(isLoopbackName(name)).toBe(alone);
  });

  test.each<[string, string, boolean, boolean]>([
    ['http://keg.local:8420', 'keg.local:8420', false, true],
    ['http://KEG.local:8420', 'keg.LOCAL:8420', false, true],
    ['https://keg.local', 'keg.local', true, true],
    ['https://keg.local', 'keg.local:443', true, true],
    ['https://keg.local', 'keg.local', false, true],
    ['http://keg.local', 'keg.local', true, false],
    ['http://[::1]:8420', '[::1]:8420', false, true],
    ['http://keg.local:8421', 'keg.local:8420', false, false],
    ['http://evil.example', 'keg.local', false, false],
    ['http://keg.local.evil.example', 'keg.local', false, false],
    ['http://keg.local@evil.example', 'keg.local', false, false],
    ['null', 'keg.local', false, false],
    ['', 'keg.local', false, false],
    ['file://keg.local', 'keg.local', false, false],
    ['http://keg.local', '', false, false],
    ['chrome-extension://abc', 'keg.local', false, false],
  ])('a page of %s asking %s (encrypted: %s) is ours: %s', (origin, host, isSecure, ours) => {
    expect(isOwnOrigin(origin, host, isSecure)).toBe(ours);
  });
});

describe('the cookie', () => {
  const plain = { isSecure: false, port: 8420 };
  const secure = { isSecure: true, port: 8420 };
  const TOKEN = 'abcdefghijklmnopqrstuvwxyz';

  test('is for this site and for requests alone; Secure and __Host- exactly where browsers take them', () => {
    expect(setCookie(TOKEN, plain)).toBe(`quietkeg-8420=${TOKEN}; Path=/; Max-Age=34560000; HttpOnly; SameSite=Strict`);
    // RFC 6265bis, section 4.1.3.2: a __Host- cookie is Secure, has Path=/ and no Domain.
    expect(setCookie(TOKEN, secure)).toBe(
      `__Host-quietkeg-8420=${TOKEN}; Path=/; Max-Age=34560000; HttpOnly; SameSite=Strict; Secure`,
    );
    expect(clearCookie(secure)).toMatch(/^__Host-quietkeg-8420=; .*Max-Age=0; .*; Secure$/);
    expect(clearCookie(plain)).toMatch(/^quietkeg-8420=; .*Max-Age=0/);
  });

  test.each<[string | undefined, string | null]>([
    [undefined, null],
    [`quietkeg-8420=${TOKEN}`, TOKEN],
    [`other=1; quietkeg-8420=${TOKEN};x=2`, TOKEN],
    [`quietkeg-8421=${TOKEN}`, null],
    [`xquietkeg-8420=${TOKEN}`, null],
    ['quietkeg-8420=', null],
    ['quietkeg-8420=a b', null],
    [`quietkeg-8420=${TOKEN}; quietkeg-8420=${TOKEN}2`, null],
    [`quietkeg-8420=${'x'.repeat(101)}`, null],
  ])('%j holds %j', (header, token) => {
    expect(cookieToken(header, plain)).toBe(token);
  });

  test('of plain HTTP is none on HTTPS', () => {
    expect(cookieToken(`quietkeg-8420=${TOKEN}`, secure)).toBeNull();
    expect(cookieToken(`__Host-quietkeg-8420=${TOKEN}`, secure)).toBe(TOKEN);
  });
});

describe('headers of answers', () => {
  const page = { isApi: false, host: 'keg.local:8420', isSecure: false, alwaysSecure: false };

  test('a page may use its own files and its own socket, nothing inline, and is in no frame', () => {
    const policy = responseHeaders(page)['content-security-policy'] ?? '';
    const rules = new Map(policy.split('; ').map((rule) => [rule.split(' ')[0], rule.split(' ').slice(1).join(' ')]));
    expect(rules.get('default-src')).toBe("'none'");
    expect(rules.get('script-src')).toBe("'self'");
    expect(rules.get('connect-src')).toBe("'self' ws://keg.local:8420");
    expect(rules.get('frame-ancestors')).toBe("'none'");
    expect(rules.get('base-uri')).toBe("'none'");
    expect(policy).not.toMatch(/unsafe|upgrade-insecure|\*/);
  });

  test('an answer of the API is never kept', () => {
    expect(responseHeaders({ ...page, isApi: true })).toMatchObject({
      'cache-control': 'no-store',
      'content-security-policy': expect.stringMatching(/^default-src 'none'/),
      'x-content-type-options': 'nosniff',
    });
  });

  test('what browsers take only on HTTPS is sent only there', () => {
    expect(responseHeaders(page)).not.toHaveProperty('strict-transport-security');
    expect(responseHeaders(page)).not.toHaveProperty('cross-origin-opener-policy');
    expect(responseHeaders({ ...page, alwaysSecure: true })).not.toHaveProperty('strict-transport-security');
    const secure = responseHeaders({ ...page, isSecure: true, alwaysSecure: true });
    expect(secure).toMatchObject({ 'strict-transport-security': 'max-age=31536000' });
    expect(secure['content-security-policy']).toMatch(/wss:\/\/keg\.local:8420$/);
    expect(responseHeaders({ ...page, host: null })['content-security-policy']).toMatch(/connect-src 'self'$/);
  });
});

describe('how much one address may ask', () => {
  test('a burst, and no request more; then so many a second', () => {
    const limit = new RequestLimit();
    const taken = (nowMs: number, tries: number) =>
      Array.from({ length: tries }, () => limit.take('a', nowMs)).filter((ok) => ok).length;
    expect(taken(0, BURST + 1)).toBe(BURST);
    expect(limit.take('b', 0)).toBe(true);
    expect(taken(1000, PER_SECOND + 1)).toBe(PER_SECOND);
    expect(taken(1_000_000, BURST + 1)).toBe(BURST);
  });
});

test.each([
  ['Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0', 'Firefox on Linux'],
  ['Mozilla/5.0 (iPad; CPU OS 17_0 like Mac OS X) AppleWebKit/605.1 Version/17.0 Safari/604.1', 'Safari on iPad'],
  ['Mozilla/5.0 (Linux; Android 14) AppleWebKit/537.36 Chrome/140.0 Mobile Safari/537.36', 'Chrome on Android'],
  ['curl/8.5.0', 'a program'],
  ['tool (Linux)', 'a program on Linux'],
  ['Firefox/1', 'Firefox'],
  [undefined, 'a program'],
])('%s is %s', (agent, words) => {
  expect(browserWords(agent)).toBe(words);
});
