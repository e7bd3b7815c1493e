/** Words of the record. */
export const record = {
  record: {
    heading: 'Record',
    past: 'Past alerts',
    nonePast: 'No past alerts.',
    older: 'Show older alerts',
    noneOlder: 'These are all past alerts.',
    lasted: (clock: string, lasted: string) => `${clock}, lasted ${lasted}`,
    began: (clock: string) => clock,
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
