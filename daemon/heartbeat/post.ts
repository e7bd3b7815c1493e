/** One POST and its answer: no redirects, no long answers, no long waits. Failure is a value. */
import { request as requestHttp } from 'node:http';
import { request as requestHttps } from 'node:https';

export type Posted = { status: number; text: string } | { problem: string };

const ANSWER_BYTES_MAX = 16 * 1024;

/**
 * Sends `body` as JSON; `patienceMs` of real time for all of it. `stopped` breaks it off. `ca`: the
 * authority that vouches for the other end, in PEM, in place of those that everybody knows.
 */
export function post(
  url: string,
  body: string,
  headers: Readonly<Record<string, string>>,
  patienceMs: number,
  stopped: AbortSignal,
  ca?: string,
): Promise<Posted> {
  return new Promise((resolve) => {
    const start = url.startsWith('https:') ? requestHttps : requestHttp;
    const late = AbortSignal.timeout(patienceMs);
    const signal = AbortSignal.any([late, stopped]);
    const fail = (error: Error): void => {
      const isLate = late.aborted;
      resolve({ problem: isLate ? `no answer within ${patienceMs / 1000} s` : error.message });
    };
    const sent = start(
      url,
      {
        method: 'POST',
        agent: false,
        signal,
        ...(ca !== undefined && { ca }),
        headers: {
          'content-type': 'application/json',
          'content-length': Buffer.byteLength(body),
          ...headers,
        },
      },
      (answer) => {
        const pieces: Buffer[] = [];
        let bytes = 0;
        answer.on('data', (piece: Buffer) => {
          bytes += piece.length;
          if (bytes <= ANSWER_BYTES_MAX) {
            pieces.push(piece);
            return;
          }
          answer.destroy();
          resolve({ problem: `the answer is longer than ${ANSWER_BYTES_MAX} bytes` });
        });
        answer.on('end', () => {
          resolve({
            status: answer.statusCode ?? 0,
            text: Buffer.concat(pieces).toString('utf8'),
          });
        });
        answer.on('error', fail);
      },
    );
    sent.on('error', fail);
    sent.end(body);
  });
}
