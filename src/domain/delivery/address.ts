/** What kind of network an address belongs to. */
export type AddressKind =
  /** This machine. */
  | 'loopback'
  /** A house's or company's own network. */
  | 'private'
  /** Neighbours on the wire; clouds hand out credentials at such addresses. */
  | 'link-local'
  /** Known places where clouds hand out credentials. */
  | 'metadata'
  /** No place to send anything to: unspecified, multicast, reserved, translated, documentation. */
  | 'unusable'
  | 'public';

/**
 * @source IANA IPv4 Special-Purpose Address Registry (RFC 6890 and followers), as networks and their lengths.
 */
const IPV4_KINDS: readonly (readonly [network: readonly number[], bits: number, kind: AddressKind])[] = [
  [[0, 0, 0, 0], 8, 'unusable'],
  [[10, 0, 0, 0], 8, 'private'],
  // A cloud's metadata service inside the shared address space, which else is a provider's own network.
  [[100, 100, 100, 200], 32, 'metadata'],
  [[100, 64, 0, 0], 10, 'private'],
  [[127, 0, 0, 0], 8, 'loopback'],
  [[169, 254, 0, 0], 16, 'link-local'],
  [[172, 16, 0, 0], 12, 'private'],
  // A cloud's platform service at a public address (wire server).
  [[168, 63, 129, 16], 32, 'metadata'],
  [[192, 0, 0, 0], 24, 'unusable'],
  [[192, 0, 2, 0], 24, 'unusable'],
  [[192, 88, 99, 0], 24, 'unusable'],
  [[192, 168, 0, 0], 16, 'private'],
  [[198, 18, 0, 0], 15, 'unusable'],
  [[198, 51, 100, 0], 24, 'unusable'],
  [[203, 0, 113, 0], 24, 'unusable'],
  [[224, 0, 0, 0], 4, 'unusable'],
  [[240, 0, 0, 0], 4, 'unusable'],
];

/** Kind of an IPv4 or IPv6 address in text; `unusable` for anything else. */
export function addressKind(address: string): AddressKind {
  const four = ipv4Number(address);
  if (four !== null) return ipv4Kind(four);
  const groups = ipv6Groups(address);
  return groups === null ? 'unusable' : ipv6Kind(groups);
}

/** Whether anything may be sent there. Link-local and metadata addresses never, this house only where it is allowed. */
export function isAllowedTarget(kind: AddressKind, allowLocal: boolean): boolean {
  return kind === 'public' || (allowLocal && (kind === 'loopback' || kind === 'private'));
}

function ipv4Kind(address: number): AddressKind {
  const row = IPV4_KINDS.find(([network, bits]) => {
    const shift = 2 ** (32 - bits);
    return Math.floor(address / shift) === Math.floor(joined(network, 256) / shift);
  });
  return row?.[2] ?? 'public';
}

/** @source IANA IPv6 Special-Purpose Address Registry; RFC 4291, 6052 (64:ff9b::/96), 3056 (2002::/16), 4380 (2001::/32). */
function ipv6Kind(groups: readonly number[]): AddressKind {
  const [first = 0, second = 0, third = 0] = groups;
  const low = joined(groups.slice(6), 65_536);
  const zeroUpTo = (count: number) => groups.slice(0, count).every((group) => group === 0);
  // Written as IPv6, these are IPv4 addresses, and are judged as what they are.
  if (zeroUpTo(5) && groups[5] === 0xffff) return ipv4Kind(low);
  if (zeroUpTo(7) && groups[7] === 1) return 'loopback';
  if (zeroUpTo(6)) return 'unusable';
  if (first === 0x64 && second === 0xff9b) return ipv4Kind(low);
  if (first === 0x2002) return ipv4Kind(second * 65_536 + third);
  if (first === 0xfd00 && second === 0xec2 && groups[7] === 0x254) return 'metadata';
  if ((first & 0xfe00) === 0xfc00) return 'private';
  if ((first & 0xffc0) === 0xfe80) return 'link-local';
  if (first === 0x2001 && (second < 0x200 || second === 0xdb8)) return 'unusable';
  // Global unicast is 2000::/3; nothing else is handed out.
  return (first & 0xe000) === 0x2000 ? 'public' : 'unusable';
}

function joined(digits: readonly number[], base: number): number {
  return digits.reduce((number, digit) => number * base + digit, 0);
}

function ipv4Number(text: string): number | null {
  const match = /^(\d{1,3})\.(\d{1,3})\.(\d{1,3})\.(\d{1,3})$/.exec(text);
  if (match === null) return null;
  const bytes = match.slice(1).map(Number);
  return bytes.some((byte) => byte > 255) ? null : joined(bytes, 256);
}

/** The eight groups of an IPv6 address; a zone (`%eth0`) does not change what it is. */
function ipv6Groups(text: string): number[] | null {
  const [withoutZone = ''] = text.split('%', 1);
  const bare = withoutZone.replace(/^\[(.*)\]$/, '$1');
  const [, before = '', dotted = ''] = /^(.*:)(\d+\.\d+\.\d+\.\d+)$/.exec(bare) ?? [];
  const four = ipv4Number(dotted);
  if (dotted !== '' && four === null) return null;
  const hex = four === null ? bare : `${before}${(four >>> 16).toString(16)}:${(four & 0xffff).toString(16)}`;
  const halves = hex.split('::');
  if (halves.length > 2) return null;
  const [head = [], tail = []] = halves.map((half) => (half === '' ? [] : half.split(':')));
  const missing = 8 - head.length - tail.length;
  if (halves.length === 2 ? missing < 1 : missing !== 0) return null;
  const groups = [...head, ...Array<string>(Math.max(0, missing)).fill('0'), ...tail];
  return groups.every((group) => /^[0-9a-f]{1,4}$/i.test(group))
    ? groups.map((group) => Number.parseInt(group, 16))
    : null;
}
