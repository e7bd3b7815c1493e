/** Where the page is offered, why nowhere else, and what to do when an address is not to be had. */
import type { FastifyInstance } from 'fastify';

/** Why the page is not open to the network by itself, for whoever starts panelward or wonders. */
export const WHY_LOOPBACK =
  'panelward answers on this computer only (127.0.0.1), where nobody has to sign in. Started with ' +
  '`--host` it answers the boat’s network too, and there everybody has to.';

export const DEFAULT_HOST = '127.0.0.1';

/** The address cannot be listened on. The message is for whoever starts the daemon. */
export class ListenProblem extends Error {
  override readonly name = 'ListenProblem';
}

/** Gives the port that was taken. Throws ListenProblem. */
export async function listen(app: FastifyInstance, host: string, port: number): Promise<number> {
  try {
    await app.listen({ host, port });
  } catch (error) {
    throw problemOf(error, host, port);
  }
  const address = app.server.address();
  return typeof address === 'object' && address !== null ? address.port : port;
}

export function isLoopback(host: string): boolean {
  return host === 'localhost' || host === '::1' || host.startsWith('127.');
}

/** The page's address for a browser on this computer, which cannot open "every address". */
export function pageAddress(host: string, port: number, isTls = false): string {
  const scheme = isTls ? 'https' : 'http';
  if (host === '0.0.0.0' || host === '::') return `${scheme}://localhost:${port}`;
  return `${scheme}://${host.includes(':') ? `[${host}]` : host}:${port}`;
}

function problemOf(error: unknown, host: string, port: number): unknown {
  const message = messageFor(codeOf(error), host, port);
  return message === null ? error : new ListenProblem(message, { cause: error });
}

function messageFor(code: unknown, host: string, port: number): string | null {
  switch (code) {
    case 'EADDRINUSE':
      return `Port ${port} on ${host} is taken by another program, perhaps another panelward. End that one, or give another port.`;
    case 'EACCES':
      return `Port ${port} needs rights that this user does not have. Give a port of 1024 or above.`;
    case 'EADDRNOTAVAIL':
    case 'ENOTFOUND':
    case 'EAI_AGAIN':
      return `${host} is no address of this computer. Give one of its own, or leave it out.`;
    default:
      return null;
  }
}

function codeOf(error: unknown): unknown {
  return error instanceof Error && 'code' in error ? error.code : undefined;
}
