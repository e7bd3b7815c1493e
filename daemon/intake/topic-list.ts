/** A list of topics as settings write them: one topic, or with a `/` at its end all below it. Pure. */
export interface TopicList {
  has(topic: string): boolean;
}

export function topicList(entries: readonly string[]): TopicList {
  const topics = new Set(entries.filter((entry) => !entry.endsWith('/')));
  const prefixes = entries.filter((entry) => entry.endsWith('/'));
  return {
    has: (topic) =>
      topics.has(topic) ||
      prefixes.some((prefix) => topic.length > prefix.length && topic.startsWith(prefix)),
  };
}
