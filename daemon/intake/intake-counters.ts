/**
 * Counts what came in and what was refused. Everything a stranger can make grow is bounded: one
 * line a reason, at most `MOST_UNMAPPED` addresses, at most one log line a minute for each reason.
 */
import type { IntakeHealth } from '../api/contract.ts';
import type { Clock } from '../clock.ts';
import type { IntakeLog } from './intake-log.ts';
import { printable, REFUSALS, type Refusal, type RefusalReason } from './refusals.ts';

/** Addresses that no point maps, remembered one by one; those past it share one line. */
export const MOST_UNMAPPED = 100;
/** The line of `unmapped` that counts for all addresses past the first `MOST_UNMAPPED`. */
export const OTHER_ADDRESSES = '(other addresses)';
const LOG_EVERY_MS = 60_000;
const LONGEST_ADDRESS = 256;

/** Messages and readings of one way in; plain numbers that its owner counts up. */
export interface ChannelCount {
  messages: number;
  readings: number;
}

/** Servers of open marine data send what has not changed once more, as they please. */
export interface MarineCount extends ChannelCount {
  /** Values that came again with the same time: ordinary, taken once, refused by nobody. */
  repeated: number;
}

interface Line {
  count: number;
  lastTopic: string | null;
  lastAtMs: number | null;
  loggedAtMs: number;
}

export interface IntakeCounters {
  refuse(refusal: Refusal, address: string | null): void;
  /** A message on a topic, or a value on a path, that no point of the boat reads. */
  unmapped(address: string): void;
  refused(): IntakeHealth['refused'];
  unmappedAddresses(): IntakeHealth['unmapped'];
}

export function createCounters(clock: Clock, log: IntakeLog): IntakeCounters {
  const lines = new Map<RefusalReason, Line>();
  const unmapped = new Map<string, number>();

  const logAtBoundedRate = (line: Line, refusal: Refusal): void => {
    // Redeliveries are good manners.
    if (refusal.reason === 'duplicate') return;
    const nowMs = clock.nowMs();
    if (nowMs - line.loggedAtMs < LOG_EVERY_MS) return;
    line.loggedAtMs = nowMs;
    const where = [line.lastTopic, refusal.pointId, refusal.found].filter(Boolean).join(', ');
    log.warn(
      `refused (${refusal.reason}${where ? `: ${where}` : ''}): ${REFUSALS[refusal.reason]} ${line.count} so far.`,
    );
  };

  return {
    refuse(refusal, address) {
      const line = lines.get(refusal.reason) ?? {
        count: 0,
        lastTopic: null,
        lastAtMs: null,
        loggedAtMs: Number.NEGATIVE_INFINITY,
      };
      lines.set(refusal.reason, line);
      line.count += 1;
      line.lastAtMs = clock.nowMs();
      if (address !== null) line.lastTopic = printable(address, LONGEST_ADDRESS);
      logAtBoundedRate(line, refusal);
    },
    unmapped(address) {
      const key = printable(address, LONGEST_ADDRESS);
      const kept = unmapped.has(key) || unmapped.size < MOST_UNMAPPED ? key : OTHER_ADDRESSES;
      unmapped.set(kept, (unmapped.get(kept) ?? 0) + 1);
    },
    refused: () =>
      [...lines].map(([reason, { count, lastTopic, lastAtMs }]) => ({
        reason,
        count,
        lastTopic,
        lastAtMs,
      })),
    unmappedAddresses: () => [...unmapped].map(([address, count]) => ({ address, count })),
  };
}
