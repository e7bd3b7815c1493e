/** Whom an address stands for. */

/**
 * What is counted as one when guesses and requests are counted: an IPv4 address, but of IPv6 the
 * network (/64), which gives one computer more addresses than could be counted.
 */
export function networkOf(address: string): string {
  if (!address.includes(':')) return address;
  const [head = '', tail] = address.split('::');
  const left = head === '' ? [] : head.split(':');
  const right = tail === undefined || tail === '' ? [] : tail.split(':');
  const missing = tail === undefined ? 0 : Math.max(0, 8 - left.length - right.length);
  const parts = [...left, ...Array<string>(missing).fill('0'), ...right].slice(0, 4);
  return `${parts.map((part) => part.replace(/^0+(?=.)/, '')).join(':')}::/64`;
}
