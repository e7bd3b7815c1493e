/** Words of the whole page: its frame, its link to the boat, numbers, and what went wrong. */
export const common = {
  locale: 'en-GB',

  product: 'panelward',

  views: {
    now: 'Now',
    circuits: 'Circuits',
    alerts: 'Alerts',
    history: 'History',
    report: 'Report',
    guest: 'Guest',
    health: 'Health',
  },

  more: 'More',

  viewFailed:
    'This view could not be loaded. The boat may be out of reach, or panelward may have been updated.',

  viewsLabel: 'Views',

  skip: 'Skip to the content',

  openCount: (count: number) => (count === 1 ? '1 open alert' : `${count} open alerts`),

  openElsewhere: 'Open alerts',

  safety: [
    'panelward informs and never switches.',
    'No reading proves a circuit dead.',
    'Work on the panel belongs to a licensed electrician; local codes rule.',
  ],

  safetyLabel: 'Safety',

  link: {
    connecting: 'Connecting to the boat',
    live: 'Live',
    heard: (age: string) => `Heard ${age} ago`,
    asking: 'Live stream interrupted, asking every few seconds',
    lost: (age: string) => `Nothing heard for ${age}. What you see is old.`,
    never: (age: string) => `No answer from the boat for ${age}. Still trying.`,
    remembered: (clock: string, age: string) =>
      `Not connected to the boat. What you see is what it said at ${clock}, ${age} ago.`,
    unreadable: 'The boat sent something this page cannot read. Reloading may help.',
    updated: 'panelward has been updated on the boat.',
    reload: 'Reload the page',
  },

  demo: {
    label: 'Demo boat, not a real one',
    scenario: (name: string) => `scenario “${name}”`,
    speed: (times: number) => `time runs ${times} times as fast`,
  },

  waiting: 'Waiting for the first readings.',

  loading: 'Loading.',

  title: (boat: string, open: number) =>
    open === 0 ? `${boat}, panelward` : `(${open}) ${boat}, panelward`,

  pageFailed: 'This page has failed and shows nothing you could rely on.',

  list: {
    and: (parts: readonly string[]) =>
      parts.length < 2
        ? (parts[0] ?? '')
        : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1) ?? ''}`,
    or: (parts: readonly string[]) =>
      parts.length < 2
        ? (parts[0] ?? '')
        : `${parts.slice(0, -1).join(', ')} or ${parts.at(-1) ?? ''}`,
  },

  known: {
    unknown: 'unknown',
    inferredSign: '≈',
    inferred: 'about, worked out:',
    was: (value: string) => `was ${value}`,
    wasAgo: (value: string, age: string) => `was ${value}, ${age} ago`,
    noRating: 'no rating given',
    of: (rating: string) => `of ${rating}`,
    over: 'over rating',
    legend:
      '≈ is worked out from other readings, not measured. A dash is not known, which is not zero.',
  },

  quantity: {
    volts: 'Voltage',
    amps: 'Current',
    watts: 'Power',
    hertz: 'Frequency',
    powerFactor: 'Power factor',
    stateOfCharge: 'State of charge',
    celsius: 'Temperature',
    position: 'Position',
    switch: 'Switch',
  },

  errors: {
    unreachable: 'The boat does not answer.',
    status: (status: number) => `The boat answered with error ${status}.`,
    notJson: 'The boat answered with something this page cannot read.',
    expected: (expected: string, found: string) => `Expected ${expected}, found ${found}.`,
    retry: 'Try again',
  },
} as const;
