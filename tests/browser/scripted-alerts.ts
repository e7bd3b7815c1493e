/** Alerts as the daemon might send them, for tests of the page. */
import type { Alert } from '../../daemon/api/contract.ts';
import { EVENING_MS } from './scripted-panel.ts';

const MINUTE_MS = 60_000;

/** A warning that appears while the page is open: the shore inlet is overloaded. */
export function overloadWarning(parts: Partial<Alert> = {}): Alert {
  return {
    rule: 'overload',
    subject: { part: 'bow-inlet', leg: 'L1' },
    priority: 'warning',
    title: 'Bow inlet is overloaded: 54.2 A of 50.0 A on L1 (108 %)',
    means:
      'The breaker on the dock may trip and leave the boat without shore power; cord, plug and inlet run hot.',
    doThis: 'Switch off Air conditioner, guest cabin (8.1 A) or another load on L1.',
    cautions: [
      'A reading never proves a circuit dead.',
      'A plug that is hot or discoloured belongs to a licensed electrician; do not pull it under load.',
    ],
    evidence: [{ what: 'Current on L1', value: 54.2, threshold: 50, unit: 'A' }],
    confidence: 'measured',
    points: ['bow-l1-amps', 'bow-l1-volts'],
    id: 'overload/bow-inlet:L1#7',
    phase: 'unacknowledged',
    sinceMs: EVENING_MS - 40_000,
    raisedAtMs: EVENING_MS - 10_000,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    returnedAtMs: null,
    isHeld: false,
    symptoms: [],
    mode: 'aboard',
    ...parts,
  };
}

export function missingPumpAlarm(parts: Partial<Alert> = {}): Alert {
  return overloadWarning({
    rule: 'missing prerequisite',
    subject: { part: 'owner-air' },
    priority: 'alarm',
    title: 'Air conditioner, owner’s cabin runs without Cooling water pump',
    means: 'Without cooling water the compressor overheats within minutes and shuts down or fails.',
    doThis: 'Switch off Air conditioner, owner’s cabin, then find out why the pump does not run.',
    cautions: [],
    evidence: [
      { what: 'Current of the air conditioner', value: 9.7, threshold: 0.5, unit: 'A' },
      { what: 'Current of the pump', value: null, threshold: 0.5, unit: 'A' },
    ],
    confidence: 'inferred',
    points: ['refrigerator-amps'],
    id: 'missing prerequisite/owner-air#2',
    phase: 'acknowledged',
    sinceMs: EVENING_MS - 9 * MINUTE_MS,
    raisedAtMs: EVENING_MS - 8 * MINUTE_MS,
    acknowledgedAtMs: EVENING_MS - 6 * MINUTE_MS,
    acknowledgedBy: 'Wren',
    ...parts,
  });
}

export function silentSensorCaution(parts: Partial<Alert> = {}): Alert {
  return overloadWarning({
    rule: 'sensor silent',
    subject: { part: 'small-generator', point: 'small-l1-volts' },
    priority: 'caution',
    title: 'The sensor at Small generator is silent',
    means: 'What happens at Small generator cannot be seen, and alerts about it are held.',
    doThis: 'Look at the sensor’s supply and its network connection.',
    cautions: ['The sensor may sit inside the panel: leave opening it to a licensed electrician.'],
    evidence: [{ what: 'Silence', value: 95, threshold: 60, unit: 's' }],
    id: 'sensor silent/small-generator#4',
    phase: 'returned',
    sinceMs: EVENING_MS - 95_000,
    raisedAtMs: EVENING_MS - 35_000,
    returnedAtMs: EVENING_MS - 5_000,
    isHeld: true,
    points: [],
    ...parts,
  });
}

/** Closed alerts, newest first. */
export const PAST_ALERTS: readonly Alert[] = [
  overloadWarning({
    id: 'overload/bow-inlet:L1#5',
    phase: 'closed',
    sinceMs: EVENING_MS - 26 * 60 * MINUTE_MS,
    raisedAtMs: EVENING_MS - 26 * 60 * MINUTE_MS + 30_000,
    acknowledgedAtMs: EVENING_MS - 26 * 60 * MINUTE_MS + 80_000,
    acknowledgedBy: 'Wren',
    returnedAtMs: EVENING_MS - 26 * 60 * MINUTE_MS + 12 * MINUTE_MS,
  }),
  missingPumpAlarm({
    id: 'missing prerequisite/saloon-air#1',
    phase: 'closed',
    title: 'Air conditioner, saloon runs without Cooling water pump',
    sinceMs: EVENING_MS - 75 * 60 * MINUTE_MS,
    raisedAtMs: EVENING_MS - 75 * 60 * MINUTE_MS + 20_000,
    returnedAtMs: EVENING_MS - 75 * 60 * MINUTE_MS + 3 * MINUTE_MS,
  }),
];

/** One alert of each state that a person or time can bring about. */
export function alertsInEveryState(): Alert[] {
  const putAway = { by: 'Wren', atMs: EVENING_MS - 20 * MINUTE_MS };
  return [
    overloadWarning({
      silenced: { by: 'Wren', atMs: EVENING_MS - 60_000, untilMs: EVENING_MS + 4 * MINUTE_MS },
      inFlood: 'many alerts#1',
    }),
    missingPumpAlarm({
      id: 'missing prerequisite/saloon-air#3',
      title: 'Air conditioner, saloon runs without Cooling water pump',
      phase: 'unacknowledged',
      acknowledgedAtMs: null,
      acknowledgedBy: null,
      escalation: { step: 2, nextAtMs: EVENING_MS + 3 * MINUTE_MS },
      chattering: { sinceMs: EVENING_MS - 9 * MINUTE_MS, times: 5, quietSinceMs: null },
    }),
    overloadWarning({
      id: 'unused-inlet-live/stern-inlet#6',
      priority: 'emergency alarm',
      title: 'The pins of Stern inlet may be live',
      phase: 'latched',
      needsInspection: true,
      sinceMs: EVENING_MS - 9 * MINUTE_MS,
      acknowledgedAtMs: EVENING_MS - 7 * MINUTE_MS,
      acknowledgedBy: 'Robin',
      returnedAtMs: EVENING_MS - 6 * MINUTE_MS,
    }),
    missingPumpAlarm({
      shelved: {
        ...putAway,
        untilMs: EVENING_MS + 40 * MINUTE_MS,
        reason: 'the impeller is being changed',
        priority: 'alarm',
        isWarned: false,
      },
    }),
    silentSensorCaution({
      phase: 'acknowledged',
      outOfService: {
        ...putAway,
        reason: 'the sensor is ashore for repair',
        reviewAtMs: EVENING_MS + 7 * 24 * 60 * MINUTE_MS,
        nextReviewAtMs: EVENING_MS + 7 * 24 * 60 * MINUTE_MS,
        priority: 'caution',
      },
    }),
  ];
}
