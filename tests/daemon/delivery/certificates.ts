/** A certificate authority of one test run, and a certificate for this computer, both in PEM. */
import 'reflect-metadata';
import * as x509 from '@peculiar/x509';
import { webcrypto } from 'node:crypto';

const ALGORITHM = { name: 'ECDSA', namedCurve: 'P-256', hash: 'SHA-256' };
const DAY_MS = 86_400_000;

export interface Certificates {
  /** Of the authority: what `caFile` names. */
  ca: string;
  cert: string;
  key: string;
}

/** For the names and addresses given, by an authority of its own. */
export async function madeCertificates(names: readonly string[]): Promise<Certificates> {
  const authority = await keyPair();
  const own = await keyPair();
  const notBefore = new Date(Date.now() - DAY_MS);
  const notAfter = new Date(Date.now() + DAY_MS);
  const ca = await x509.X509CertificateGenerator.createSelfSigned({
    serialNumber: '01',
    name: 'CN=Test authority',
    notBefore,
    notAfter,
    keys: authority,
    signingAlgorithm: ALGORITHM,
    extensions: [new x509.BasicConstraintsExtension(true, undefined, true)],
  });
  const cert = await x509.X509CertificateGenerator.create({
    serialNumber: '02',
    subject: 'CN=Test receiver',
    issuer: ca.subject,
    notBefore,
    notAfter,
    signingKey: authority.privateKey,
    publicKey: own.publicKey,
    signingAlgorithm: ALGORITHM,
    extensions: [
      new x509.SubjectAlternativeNameExtension(
        names.map((value) => ({ type: /^[\d.]+$/.test(value) ? 'ip' : 'dns', value })),
      ),
    ],
  });
  const pkcs8 = await webcrypto.subtle.exportKey('pkcs8', own.privateKey);
  return {
    ca: ca.toString('pem'),
    cert: cert.toString('pem'),
    key: x509.PemConverter.encode(pkcs8, 'PRIVATE KEY'),
  };
}

function keyPair(): Promise<webcrypto.CryptoKeyPair> {
  return webcrypto.subtle.generateKey(ALGORITHM, true, ['sign', 'verify']);
}
