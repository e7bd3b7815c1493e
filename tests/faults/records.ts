/** Alert events and saved watches whose content follows from their number, to be checked by it. */
import type { AlertEvent } from '../../rules/alerts/alert.ts';
import type { Letter } from '../../rules/telling/letter.ts';
import type { SavedWatch } from '../../rules/watch.ts';

const START_MS = 1_777_615_200_000;

export function eventWith(seq: number): AlertEvent {
  const atMs = START_MS + seq * 1000;
  const alertId = `overload/main-a:L1#${Math.ceil(seq / 4)}`;
  return {
    seq,
    atMs,
    alertId,
    type: seq % 4 === 1 ? 'raised' : 'held',
    actor: 'panelward',
    alert: {
      id: alertId,
      rule: 'overload',
      subject: { part: 'main-a', leg: 'L1' },
      priority: 'warning',
      title: `Main A leg L1 carries more than its rating, event ${seq}`,
      means: 'The breaker may trip.',
      doThis: 'Switch off a large load on leg L1.',
      cautions: [],
      evidence: [{ what: 'current', value: seq, threshold: 50, unit: 'A' }],
      confidence: 'measured',
      points: ['point-1'],
      phase: seq % 4 === 0 ? 'closed' : 'unacknowledged',
      sinceMs: atMs - 30_000,
      raisedAtMs: START_MS + Math.ceil(seq / 4) * 4000,
      acknowledgedAtMs: null,
      acknowledgedBy: null,
      returnedAtMs: null,
      isHeld: false,
      symptoms: [],
      mode: 'aboard',
    },
  };
}

export function watchAt(seq: number): SavedWatch {
  return { version: 1, atMs: START_MS + seq * 1000, lastSeq: seq };
}

/** About the alert of the event of that number. */
export function letterOf(seq: number, writtenAtMs: number): Letter {
  const { alert } = eventWith(seq);
  return {
    key: `letter.${seq}`,
    kind: 'alert',
    contact: 'wren',
    way: 'hook',
    priority: alert.priority,
    alertId: alert.id,
    about: [],
    boat: 'Sandpiper',
    headline: `Sandpiper: ${alert.title}`,
    text: alert.doThis,
    writtenAtMs,
    dueAtMs: writtenAtMs,
    expiresAtMs: writtenAtMs + 86_400_000,
  };
}
