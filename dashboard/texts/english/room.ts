/** Words of what can still be switched on, and of how long a battery lasts. */
export const room = {
  room: {
    heading: 'What can still go on',
    none: 'No AC source is known to feed anything.',
    source: (label: string) => `Room on ${label}`,
    legRoom: (leg: string) => `on ${leg}`,
    noRoom: 'no room',
    unknown: 'not known',
    detail: (now: string, rated: string) => `${now} of ${rated} now`,
    kept: (amps: string) => `${amps} kept`,
    keptFor: (labels: string) => `Room is kept for what may come on by itself: ${labels}.`,
    pile: {
      fits: 'Fits',
      'fits if off': 'Fits if something is off',
      'does not fit': 'Does not fit',
      other: 'Nothing can be said, or not to be used',
    },
    nothingIn: 'nothing',
    ifOff: (labels: string) => `if ${labels} is off`,
    ifOffMany: (labels: string) => `if ${labels} are off`,
    andAlso: ' and also ',
    first: (labels: string) => `${labels} first`,
    because: 'How this was reckoned',
    basis: (amps: string, from: string) => `${amps}, ${from}`,
    from: {
      learned: 'learned',
      'boat file': 'by the boat file',
      breaker: 'all its breaker lets through',
    },
    verdict: {
      fits: 'fits',
      'fits if off': 'fits if something is off',
      'does not fit': 'does not fit',
      'stays off': 'stays off',
      'no voltage': 'no voltage',
      'not known': 'not known',
    },
    caution:
      'Reckoned on the safe side from what is measured now; no promise that a breaker holds. What is to be off must be off first.',
  },

  lasting: {
    heading: (battery: string) => `${battery} lasts`,
    until: (from: string, to: string) => `until ${from} at least, ${to} at most`,
    after: (from: string) => `until ${from} at least, likely far longer`,
    hours: (hours: string, floor: string) => `${hours}, down to ${floor} %`,
    unknown: 'How long is not known.',
  },
} as const;
