/** Aim: nothing is sent where it must not go. The networks are those of the IANA special-purpose registries. */
import { BlockList, isIP } from 'node:net';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { addressKind, isAllowedTarget } from '../../../src/domain/delivery/address.ts';

describe('an address', () => {
  test.each([
    ['127.0.0.1', 'loopback'],
    ['127.255.255.255', 'loopback'],
    ['10.0.0.1', 'private'],
    ['172.15.255.255', 'public'],
    ['172.16.0.1', 'private'],
    ['172.31.255.255', 'private'],
    ['172.32.0.0', 'public'],
    ['192.168.7.7', 'private'],
    ['100.64.0.1', 'private'],
    ['100.100.100.200', 'metadata'],
    ['168.63.129.16', 'metadata'],
    ['169.254.169.254', 'link-local'],
    ['169.254.0.1', 'link-local'],
    ['0.0.0.0', 'unusable'],
    ['0.1.2.3', 'unusable'],
    ['192.0.2.1', 'unusable'],
    ['198.18.0.1', 'unusable'],
    ['224.0.0.1', 'unusable'],
    ['255.255.255.255', 'unusable'],
    ['9.9.9.9', 'public'],
    ['::1', 'loopback'],
    ['::', 'unusable'],
    ['::2', 'unusable'],
    ['::127.0.0.1', 'unusable'],
    ['::ffff:127.0.0.1', 'loopback'],
    ['::ffff:7f00:1', 'loopback'],
    ['::ffff:169.254.169.254', 'link-local'],
    ['::FFFF:9.9.9.9', 'public'],
    ['64:ff9b::10.0.0.1', 'private'],
    ['64:ff9b::9.9.9.9', 'public'],
    ['2002:a9fe:a9fe::1', 'link-local'],
    ['2001:0:1::1', 'unusable'],
    ['2001:db8::1', 'unusable'],
    ['2001:4860:4860::8888', 'public'],
    ['fd00:ec2::254', 'metadata'],
    ['fd00:ec2::255', 'private'],
    ['fc00::1', 'private'],
    ['fe80::1%eth0', 'link-local'],
    ['febf::1', 'link-local'],
    ['ff02::1', 'unusable'],
    ['4000::1', 'unusable'],
    ['[::1]', 'loopback'],
    ['1:2:3:4:5:6:7:8', 'unusable'],
  ])('%s is %s', (address, kind) => {
    expect(addressKind(address)).toBe(kind);
  });

  test.each([
    '',
    'localhost',
    '127.1',
    '256.0.0.1',
    '1.2.3',
    '::1::',
    ':::',
    '1:2:3',
    '::ffff:999.0.0.1',
    'g::1',
    '1:2:3:4:5:6:7::8:9',
    '12345::',
  ])('%j is none that could be sent to', (address) => {
    expect(addressKind(address)).toBe('unusable');
  });

  test('may be sent to if it is public, or of this house where that is allowed', () => {
    const kinds = ['public', 'loopback', 'private', 'link-local', 'metadata', 'unusable'] as const;
    expect(kinds.filter((kind) => isAllowedTarget(kind, true))).toEqual(['public', 'loopback', 'private']);
    expect(kinds.filter((kind) => isAllowedTarget(kind, false))).toEqual(['public']);
  });
});

/** Node's own list of networks, filled with the same registry: another way to compare addresses with networks. */
const forbidden = new BlockList();
for (const [network, bits] of [
  ['0.0.0.0', 8],
  ['10.0.0.0', 8],
  ['100.64.0.0', 10],
  ['127.0.0.0', 8],
  ['168.63.129.16', 32],
  ['169.254.0.0', 16],
  ['172.16.0.0', 12],
  ['192.0.0.0', 24],
  ['192.0.2.0', 24],
  ['192.88.99.0', 24],
  ['192.168.0.0', 16],
  ['198.18.0.0', 15],
  ['198.51.100.0', 24],
  ['203.0.113.0', 24],
  ['224.0.0.0', 3],
] as const)
  forbidden.addSubnet(network, bits, 'ipv4');
for (const [network, bits] of [
  ['::', 96],
  ['2001::', 23],
  ['2001:db8::', 32],
  ['fc00::', 7],
  ['fe80::', 10],
  ['ff00::', 8],
] as const)
  forbidden.addSubnet(network, bits, 'ipv6');

test('any IPv4 address is public exactly where Node’s own comparison says so, written as IPv6 too', () => {
  fc.assert(
    fc.property(fc.ipV4(), (address) => {
      const isPublic = !forbidden.check(address, 'ipv4');
      expect(addressKind(address) === 'public').toBe(isPublic);
      expect(addressKind(`::ffff:${address}`) === 'public').toBe(isPublic);
    }),
    { numRuns: 2000 },
  );
});

test('any IPv6 address that is called public is global unicast and in no forbidden network', () => {
  fc.assert(
    fc.property(fc.ipV6(), (address) => {
      expect(isIP(address)).toBe(6);
      if (addressKind(address) !== 'public') return;
      const isMapped = /^(0*:)*:?(ffff|64:ff9b:).*/i.test(address) || /^2002:/i.test(address);
      expect(isMapped || !forbidden.check(address, 'ipv6')).toBe(true);
    }),
    { numRuns: 2000 },
  );
});
