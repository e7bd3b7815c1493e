/** Joins the heartbeat to the watch at work and to the record. */
import { X509Certificate } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { uptime } from 'node:os';
import type { Clock } from './clock.ts';
import { Heartbeat } from './heartbeat/heartbeat.ts';
import type { HeartbeatSettings } from './settings/heartbeat-section.ts';
import type { Secrets } from './settings/secrets.ts';
import { signingSecret } from './settings/signing-secret.ts';
import type { Station } from './station.ts';
import type { Store } from './store/store.ts';

const RECENT_MOST = 12;

/** Beats after every evaluation that is due; a problem where the secret is missing. */
export function startHeart(given: {
  settings: HeartbeatSettings;
  secrets: Secrets;
  boat: string;
  version: string;
  clock: Clock;
  station: Station;
  store: Store;
  log: (line: string) => void;
  /** Somebody ashore has taken a beat: there is a network. */
  onHeard?: () => void;
}): Heartbeat | { problem: string } {
  const { settings, secrets, station, store, ...rest } = given;
  const signing = signingSecret(secrets, settings.signingSecret);
  if ('problem' in signing) return signing;
  const authority = authorityIn(settings.caFile);
  if ('problem' in authority) return authority;
  const heartbeat = new Heartbeat({
    ...rest,
    settings,
    secret: signing.secret,
    ca: authority.ca,
    aboard: () => {
      const boot = store.boots().at(-1);
      return {
        alerts: station.openAlerts().map((alert) => store.onAxis(alert)),
        recent: store.alerts({ phase: 'all', limit: RECENT_MOST }),
        lastEvent: store.lastSeq(),
        boot: boot?.number ?? 0,
        clock: boot?.quality ?? 'unverified',
        utcOffsetMs: store.axis().offsetMs,
        computer: { run: boot?.machineRun ?? null, upSeconds: Math.round(uptime()) },
      };
    },
  });
  station.onUpdate(({ tookMs }) => {
    // Only a full evaluation tells the time it took.
    if (tookMs !== null && station.panel) heartbeat.evaluated(station.panel);
  });
  return heartbeat;
}

function authorityIn(path: string | undefined): { ca: string | undefined } | { problem: string } {
  if (path === undefined) return { ca: undefined };
  try {
    const ca = readFileSync(path, 'utf8');
    assertCertificate(ca);
    return { ca };
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    return { problem: `heartbeat: caFile ${path} is no certificate in PEM: ${why}` };
  }
}

/** Throws unless the first thing in it is a certificate. */
function assertCertificate(text: string): X509Certificate {
  return new X509Certificate(text);
}
