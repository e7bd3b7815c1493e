/**
 * How the page is guarded, from the settings and the address it listens on: opens the desk, begins
 * the first run, and says for the health page what is not as it should be. Whatever fails here, the
 * watch runs on.
 */
import { AccessProblem } from './access/access-file.ts';
import { type AccessDesk, openDesk } from './access/desk.ts';
import { openTls, type OpenedTls } from './access/tls-files.ts';
import { type ApiAccess, type ApiOptions, DEFAULT_HOST, isLoopback } from './api/api.ts';
import type { Clock } from './clock.ts';
import type { Settings } from './settings/settings.ts';

export interface PageAccess {
  /** What the API is told: who may do what, where it listens and by which certificate. */
  api: Required<Pick<ApiOptions, 'access' | 'host'>> & Pick<ApiOptions, 'tls'>;
  /** Whole sentences. */
  problems(): string[];
  /** Until the page's certificate ends; null where it has none. */
  certificateDaysLeft(): number | null;
  /** Wrong passwords and codes within the last hour; null where nobody can sign in. */
  failedSignIns(): number | null;
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

const DAY_MS = 24 * 3_600_000;
const WARNED_BEFORE_MS = 30 * DAY_MS;

/** Never throws for what the disk or the settings are like. */
export function openPageAccess(options: PageAccessOptions): PageAccess {
  const { page, log, wallNowMs } = options;
  const { desk, problem } = openedDesk(options);
  const { tls, host, problem: tlsProblem } = tlsFor(options);
  const isOnNetwork = !isLoopback(host);
  const plain = isOnNetwork && tls === null ? [PLAIN_HTTP] : [];
  const standing = [problem, tlsProblem, ...plain].filter((each) => each !== null);
  for (const line of standing) log(line);
  const loopbackRole = loopbackRoleOf(page, isOnNetwork);
  const isAsked = isOnNetwork || loopbackRole !== 'technician';
  if (isAsked && desk?.mustSetUp === true) beginFirstRun(desk, options);
  return {
    api: {
      access: { desk, loopbackRole, isGuestOpen: page.openGuest, isOnNetwork },
      host,
      ...(tls !== null && { tls: { cert: tls.cert, key: tls.key, isStrict: tls.isOwn } }),
    },
    problems: () => [...standing, ...endingSoon(tls, wallNowMs()), ...(desk?.problems() ?? [])],
    certificateDaysLeft: () => (tls === null ? null : (tls.endsAtMs - wallNowMs()) / DAY_MS),
    failedSignIns: () => desk?.failedInLastHour() ?? null,
    close: () => desk?.close(),
  };
}

const PLAIN_HTTP =
  'The page is offered to the network without TLS: whoever listens in reads passwords along. ' +
  'Run `panelward tls` and start panelward again.';

/**
 * TLS wherever the network reaches the page and there is a certificate; on this computer alone only
 * where the settings name one. One that is named but no good must not mean plain HTTP on the
 * network: then the page stays on this computer.
 */
function tlsFor({ folder, host, page }: PageAccessOptions): {
  tls: OpenedTls | null;
  host: string;
  problem: string | null;
} {
  const isWanted = !isLoopback(host) || page.tls !== undefined;
  const opened = isWanted ? openTls(folder, page.tls) : null;
  if (opened === null || !('problem' in opened)) return { tls: opened, host, problem: null };
  const problem =
    `The page has no usable certificate (${opened.problem}), so only this computer reaches it. ` +
    'Put that right and start panelward again.';
  return { tls: null, host: DEFAULT_HOST, problem };
}

function endingSoon(tls: OpenedTls | null, nowMs: number): string[] {
  if (tls === null || tls.endsAtMs - nowMs > WARNED_BEFORE_MS) return [];
  const days = Math.max(0, Math.floor((tls.endsAtMs - nowMs) / DAY_MS));
  const what = days === 0 ? 'ends today or is over' : `ends in ${days} days`;
  const how = tls.isOwn ? 'Renew it' : 'Run `panelward tls`';
  return [`The certificate of the page ${what}. ${how} and start panelward again.`];
}

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
