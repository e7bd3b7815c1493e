/** Reads the address of an outside broker, and opens a TCP or TLS connection to it. */
import { X509Certificate } from 'node:crypto';
import { connect as connectTcp, isIP, type Socket } from 'node:net';
import { connect as connectTls } from 'node:tls';

export interface BrokerUrl {
  isTls: boolean;
  host: string;
  port: number;
  /** For people. */
  address: string;
}

const DEFAULT_PORTS = new Map([
  ['mqtt:', 1883],
  ['mqtts:', 8883],
]);
const EXPECTED = 'expected mqtt://host:port, or mqtts://host:port with TLS';

/** `problem` is a whole sentence. It never repeats the text itself, which may hold a password. */
export function readBrokerUrl(text: string): BrokerUrl | { problem: string } {
  const url = URL.canParse(text) ? new URL(text) : null;
  if (!url) return { problem: `The MQTT broker's address is not a URL; ${EXPECTED}.` };
  const defaultPort = DEFAULT_PORTS.get(url.protocol);
  if (defaultPort === undefined) {
    return { problem: `The MQTT broker's address begins with ${url.protocol}//; ${EXPECTED}.` };
  }
  if (url.hostname === '')
    return { problem: `The MQTT broker's address has no host; ${EXPECTED}.` };
  if (!['', '/'].includes(url.pathname) || url.search || url.hash) {
    return { problem: `The MQTT broker's address has something after the port; ${EXPECTED}.` };
  }
  if (url.username !== '' || url.password !== '') {
    return {
      problem:
        "The MQTT broker's address holds a user name or password. Leave out what stands before the @, and put them into settings.yaml and secrets.yaml: `broker: { user: NAME, passwordSecret: NAME OF THE SECRET }`.",
    };
  }
  return {
    isTls: url.protocol === 'mqtts:',
    host: url.hostname.replace(/^\[|\]$/g, ''),
    port: url.port === '' ? defaultPort : Number(url.port),
    address: `${url.protocol}//${url.hostname}:${url.port || defaultPort}`,
  };
}

/** TLS is always verified: against `ca` (PEM) where given, else against what Node trusts. */
export function openSocket({ isTls, host, port }: BrokerUrl, ca?: string): Socket {
  if (!isTls) return connectTcp({ host, port });
  const servername = isIP(host) === 0 ? { servername: host } : {};
  return connectTls({ host, port, ...servername, ...(ca !== undefined && { ca }) });
}

/** Why `ca` cannot be used as a certificate authority; undefined: it can. */
export function certificateProblem(ca: string): string | undefined {
  try {
    // TLS itself passes over text that holds no certificate, and would then trust nobody.
    void new X509Certificate(ca);
    return undefined;
  } catch {
    return 'The certificate authority for the MQTT broker is not a certificate in PEM form.';
  }
}
