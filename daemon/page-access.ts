/**
 * How the page is guarded, from the settings and the address it listens on: opens the desk, begins
 * the first run, and says for the health page what is not as it should be. Whatever fails here, the
 * watch runs on.
 */
import { AccessProblem } from './access/access-file.ts';
import { type AccessDesk, openDesk } from './access/desk.ts';
import { type ApiAccess, isLoopback } from './api/api.ts';
import type { Clock } from './clock.ts';
import type { Settings } from './settings/settings.ts';

export interface PageAccess {
  access: ApiAccess;
  /** Whole sentences. */
  problems(): string[];
  close(): void;
}

export interface PageAccessOptions {
  folder: string;
  clock: Clock;
  wallNowMs: () => number;
  host: string;
  page: Settings['page'];
  log: (line: string) => void;
  /** The boat's own console, where somebody is at it; what is said there is in no log. */
  tellConsole?: (line: string) => void;
}

/** Never throws for what the disk or the settings are like. */
export function openPageAccess(options: PageAccessOptions): PageAccess {
  const { host, page, log } = options;
  const isOnNetwork = !isLoopback(host);
  const { desk, problem } = openedDesk(options);
  if (problem !== null) log(problem);
  if (isOnNetwork && desk?.mustSetUp === true) beginFirstRun(desk, options);
  const isPlain = isOnNetwork;
  if (isPlain) log(PLAIN_HTTP);
  return {
    access: {
      desk,
      loopbackRole: loopbackRoleOf(page, isOnNetwork),
      isGuestOpen: page.openGuest,
      isOnNetwork,
    },
    problems: () => [
      ...(problem === null ? [] : [problem]),
      ...(isPlain ? [PLAIN_HTTP] : []),
      ...(desk?.problems() ?? []),
    ],
    close: () => desk?.close(),
  };
}

const PLAIN_HTTP =
  'The page is offered to the network without TLS: whoever listens in reads passwords along. ' +
  'Run `panelward tls` and start panelward again.';

function openedDesk(options: PageAccessOptions): {
  desk: AccessDesk | null;
  problem: string | null;
} {
  try {
    return { desk: openDesk(options), problem: null };
  } catch (error) {
    if (error instanceof AccessProblem) return { desk: null, problem: error.message };
    throw error;
  }
}

/**
 * The screen of this computer may do all while nothing else reaches the page; once the network does
 * it may do what the crew may, so that a screen in the saloon changes no settings. The settings can
 * say otherwise.
 */
function loopbackRoleOf(
  { loopbackRole }: Settings['page'],
  isOnNetwork: boolean,
): ApiAccess['loopbackRole'] {
  if (loopbackRole === undefined) return isOnNetwork ? 'crew' : 'technician';
  return loopbackRole === 'none' ? null : loopbackRole;
}

function beginFirstRun(desk: AccessDesk, { log, tellConsole }: PageAccessOptions): void {
  const code = desk.code.renew();
  const where = `It is in ${desk.code.path}, good for 15 minutes and five tries.`;
  log(`Nobody is registered yet: the page asks for a one-time code first. ${where}`);
  tellConsole?.(`One-time code for the first sign-in: ${code.slice(0, 4)} ${code.slice(4)}`);
}
