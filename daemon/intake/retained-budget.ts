/**
 * How much the embedded broker keeps of retained messages. Its memory store has no bound of its
 * own, and any client may send a retained message to a new topic for ever.
 */
export const MOST_RETAINED_TOPICS = 500;
export const MOST_RETAINED_BYTES = 1024 * 1024;

export interface RetainedBudget {
  /** Books a retained message; false: there is no room and it must not be kept. An empty one frees its topic. */
  book(topic: string, payloadBytes: number): boolean;
}

export function createRetainedBudget(): RetainedBudget {
  const bytesByTopic = new Map<string, number>();
  let bytes = 0;
  return {
    book(topic, payloadBytes) {
      const before = bytesByTopic.get(topic);
      const after = bytes - (before ?? 0) + payloadBytes;
      if (payloadBytes === 0) {
        bytesByTopic.delete(topic);
        bytes = after;
        return true;
      }
      const isNewTopic = before === undefined;
      if (isNewTopic && bytesByTopic.size >= MOST_RETAINED_TOPICS) return false;
      if (after > MOST_RETAINED_BYTES) return false;
      bytesByTopic.set(topic, payloadBytes);
      bytes = after;
      return true;
    },
  };
}
