/** Words about alerts, about what a person does with them, and the question who does. */
export const alerts = {
  alerts: {
    heading: 'Alerts',
    none: 'No open alerts.',
    noLongerOpen: 'The alert that the message was about is not open any more: see the past alerts.',
    noOther: 'No other open alerts.',
    notYet: 'Open alerts are not known yet.',
    priority: {
      'emergency alarm': 'Emergency',
      alarm: 'Alarm',
      warning: 'Warning',
      caution: 'Caution',
    },
    phase: {
      unacknowledged: 'not acknowledged',
      acknowledged: 'acknowledged',
      returned: 'over, not acknowledged',
      latched: 'over, not inspected yet',
      closed: 'closed',
    },
    since: (clock: string, age: string) => `since ${clock} (${age})`,
    lasted: (clock: string, lasted: string) => `${clock}, lasted ${lasted}`,
    sinceOnly: (clock: string) => `since ${clock}`,
    phaseBy: (phase: string, who: string) => `${phase} by ${who}`,
    acknowledgedBy: (who: string, clock: string) => `Acknowledged by ${who} at ${clock}.`,
    over: (clock: string) => `The condition has been over since ${clock}.`,
    lost: (clock: string) =>
      `At ${clock} panelward restarted and had lost what it knew of this. Whether it still holds is not known; it is told anew if it does.`,
    held: 'Sensor silent: this alert is held, not confirmed.',
    measured: 'Measured.',
    inferred: 'Inferred from other readings.',
    means: 'What it means',
    doThis: 'What to do',
    didThis: 'What was to be done',
    cautions: 'Take care',
    symptoms: 'What followed from it',
    details: 'What it means and what to do',
    numbers: 'Numbers',
    number: 'Quantity',
    value: 'Value',
    threshold: 'Limit',
    valueIs: 'Value:',
    thresholdIs: 'Limit:',
    evidence: 'Show the evidence',
    noEvidence: 'Nothing that it rests on can be drawn.',
    evidenceFrom: 'The chart begins a quarter of an hour before the condition did.',
    history: 'Show the history',
    historyOf: (title: string) => `Show the history: ${title}`,
    raised: (priority: string, title: string) => `New ${priority.toLowerCase()}: ${title}`,
    still: (priority: string, title: string) =>
      `Still not acknowledged, ${priority.toLowerCase()}: ${title}`,
    acknowledged: (title: string, who: string) => `Acknowledged by ${who}: ${title}`,
    returned: (title: string) => `Condition over: ${title}`,
  },

  acts: {
    label: {
      acknowledge: 'Acknowledge',
      inspected: 'I have looked at it',
      silence: 'Silence',
      unshelve: 'Take from the shelf',
      'in-service': 'Put back in service',
      shelve: 'Shelve',
      'out-of-service': 'Take out of service',
    },
    shelveAnew: 'Change the end',
    reviewAnew: 'Change the review',
    doing: {
      acknowledge: 'Acknowledging',
      silence: 'Silencing',
      unshelve: 'Taking from the shelf',
      'in-service': 'Putting back',
    },
    of: (label: string, title: string) => `${label}: ${title}`,
    who: {
      acknowledge: 'Who acknowledges?',
      silence: 'Who silences it?',
      unshelve: 'Who takes it from the shelf?',
      'in-service': 'Who puts it back in service?',
    },
    said: {
      silenced: (title: string, who: string) => `Silenced by ${who}: ${title}`,
      shelved: (title: string, who: string) => `Shelved by ${who}: ${title}`,
      'out of service': (title: string, who: string) => `Out of service by ${who}: ${title}`,
      'back in service': (title: string, who: string) => `Back in service by ${who}: ${title}`,
      inspected: (title: string, who: string) => `Looked at by ${who}: ${title}`,
    },
    cautionsLabel: 'Before you touch it',
    cautions: [
      'This quiets panelward, not the circuit: panelward switches nothing, and what was live is live still.',
      'No reading proves a circuit dead. Work behind the panel belongs to a licensed electrician; local codes come first.',
    ],

    minutes: (count: number) => `${count} minutes`,
    hours: (count: number) => (count === 1 ? '1 hour' : `${count} hours`),
    days: (count: number) => (count === 1 ? '1 day' : `${count} days`),
    until: (clock: string) => `until ${clock}`,
    on: (clock: string) => clock,
    otherEnd: 'Another time',
    endLabel: 'Date and time of it',
    notAnEnd: 'Write date and time of the other end, or choose one of the lengths.',

    shelve: {
      heading: 'Shelve for how long?',
      why: (hours: number) =>
        `Nobody is told of it meanwhile. It is watched and recorded all the same, stands under “Shelved” on the view of alerts, comes back by itself, and at once if it gets worse. At most ${hours} hours.`,
      reason: 'Reason (may stay empty)',
      confirm: 'Shelve',
    },
    service: {
      heading: 'Take the alert out of service?',
      why: 'For maintenance. Nobody is told of it until somebody puts it back in service, or it gets worse. It is watched and recorded all the same, and stands under “Out of service” on the view of alerts.',
      reason: 'Reason',
      noReason: 'Write a reason first.',
      review: 'Look at it again in',
      reviewHint: 'A reminder, not an end. Within 90 days; from then on it is due every day.',
      confirm: 'Take out of service',
    },
    inspected: {
      heading: 'Have you looked at it?',
      why: 'Say so only after somebody has really looked for burnt, bent or wrongly wired parts. It closes the alert; the record keeps who said it and when.',
      confirm: 'I have looked at it',
    },
  },

  alertStates: {
    silenced: (who: string, clock: string) =>
      `Silenced by ${who} until ${clock}; not acknowledged by that. It sounds again by itself.`,
    shelved: (who: string, at: string, until: string, reason: string | null) =>
      `Shelved until ${until}, by ${who} at ${at}${reason === null ? '' : `: ${reason}`}`,
    outOfService: (who: string, at: string, reason: string) =>
      `Out of service since ${at}, by ${who}: ${reason}`,
    review: (clock: string) => `(review ${clock})`,
    reviewDue: (clock: string) => `(review was due ${clock})`,
    latched:
      'Waits for an inspection: it is over, but something may be burnt, bent or wired wrongly. Whoever looks: no reading proves a circuit dead, and what is behind the panel belongs to a licensed electrician.',
    chattering: (times: number) =>
      `Comes and goes: ${times} times so far. Kept raised until it has been quiet for five minutes.`,
    flood: 'Part of a flood: it came with many others and is told with them in one notice.',
    escalated: (times: number) =>
      times === 1
        ? 'Nobody has acknowledged it: told again.'
        : `Nobody has acknowledged it: told again ${times} times.`,
    shelvedHeading: (count: number) => `Shelved (${count})`,
    firstBack: (clock: string) => `first one comes back at ${clock}`,
    serviceHeading: (count: number) => `Out of service (${count})`,
    due: (count: number) => (count === 1 ? '1 review is due' : `${count} reviews are due`),
    countShelved: (count: number) => (count === 1 ? '1 alert shelved' : `${count} alerts shelved`),
    countOutOfService: (count: number) =>
      count === 1 ? '1 alert out of service' : `${count} alerts out of service`,
    show: (what: string) => `${what}: show on the view of alerts`,
  },

  naming: {
    own: 'Under which name?',
    why: 'The record keeps this name beside the alert. This browser remembers it.',
    label: 'Your name',
    save: 'Keep this name',
    cancel: 'Cancel',
    empty: 'Write a name first.',
    as: (who: string) => `What you do with alerts is recorded as done by ${who}.`,
    change: 'Change the name',
  },
} as const;
