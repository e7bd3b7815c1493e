/** Words of past alerts and of what changed at the panel. */
export const past = {
  past: {
    heading: 'Past alerts',
    none: 'No past alerts.',
    older: 'Show older alerts',
    lasted: (clock: string, lasted: string) => `${clock}, lasted ${lasted}`,
    story: 'What happened',
    event: {
      raised: 'raised',
      acknowledged: 'acknowledged',
      returned: 'condition over',
      closed: 'closed',
      folded: 'told with its cause',
      held: 'held, sensor silent',
      resumed: 'sensor heard again',
      'priority changed': 'priority changed',
    },
    by: (actor: string) => `by ${actor}`,
    events: 'At the panel, last 24 hours',
    noEvents: 'Nothing changed at the panel in the last 24 hours.',
  },
} as const;
