/** A letter that says of itself that it is a test. */
import type { Letter } from '../../rules/index.ts';

const EXPIRES_MS = 600_000;

export function testLetter(of: {
  boatName: string;
  contact: string;
  way: string;
  nowMs: number;
}): Letter {
  const { boatName, contact, way, nowMs } = of;
  return {
    key: `test.${contact}.${way}.${nowMs}`,
    kind: 'test',
    contact,
    way,
    priority: 'caution',
    alertId: null,
    about: [],
    boat: boatName,
    headline: `${boatName}: this is a test of "${way}", nothing is wrong`.slice(0, 160),
    text: [
      'Somebody aboard, or at her page, has asked for this message to see that it comes.',
      'A message about the boat comes the same way. That none comes is no proof that all is well:',
      'nothing that is alone on the boat can report its own end.',
    ].join('\n'),
    writtenAtMs: nowMs,
    dueAtMs: nowMs,
    expiresAtMs: nowMs + EXPIRES_MS,
  };
}
