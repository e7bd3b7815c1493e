/** Reads the address of an open marine data server's stream. */

export interface MarineUrl {
  url: URL;
  /** For people: without credentials and query. */
  address: string;
}

const EXPECTED = 'expected ws://host:port/path, or wss://host:port/path with TLS';

/**
 * Asks for `subscribe=none` unless the address says otherwise: we then choose the paths ourselves.
 * `problem` is a whole sentence; it never repeats the text, which may hold a token.
 */
export function readMarineUrl(text: string): MarineUrl | { problem: string } {
  if (!URL.canParse(text)) {
    return { problem: `The open marine data server's address is not a URL; ${EXPECTED}.` };
  }
  const url = new URL(text);
  if (url.protocol !== 'ws:' && url.protocol !== 'wss:') {
    return {
      problem: `The open marine data server's address begins with ${url.protocol}; ${EXPECTED}.`,
    };
  }
  if (url.hash) {
    return { problem: `The open marine data server's address has a # in it; ${EXPECTED}.` };
  }
  if (!url.searchParams.has('subscribe')) url.searchParams.set('subscribe', 'none');
  return { url, address: `${url.protocol}//${url.host}${url.pathname}` };
}
