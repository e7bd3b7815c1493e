/** Words of what a person tells the page: what the boat is about, and where a switch stands. */
export const saying = {
  mode: {
    is: {
      aboard: 'Aboard',
      away: 'Nobody aboard',
      'under way': 'Under way',
      'work in progress': 'Work in progress',
    },
    about: {
      aboard: 'Somebody is there to see and to act.',
      away: 'What was left on is told, and some things are told more urgently.',
      'under way': 'A shore cord that was let go is no loss.',
      'work in progress':
        'Somebody works on her electrics. What is switched off for it is not told; overload, overcharge and water are.',
    },
    saidBy: (who: string, clock: string) => `said by ${who} at ${clock}`,
    since: (clock: string) => `since ${clock}`,
    until: (clock: string) => `until ${clock}`,
    change: 'Change',
    changeWhat: 'what the boat is about',
    heading: 'What is the boat about?',
    end: 'Until',
    endHint:
      'Empty: until somebody says otherwise. Work in progress needs an end within 24 hours. After the end she counts as aboard again.',
    notAnEnd: 'Write date and time of the end, or leave it empty.',
    confirm: 'Say so',
  },

  stating: {
    open: 'I have turned it',
    heading: (label: string) => `Where have you turned ${label}?`,
    why: 'panelward switches nothing. Your word counts until a reading contradicts it.',
    switchPosition: { closed: 'closed (on)', open: 'open (off)' },
    none: 'Choose a position first.',
    confirm: 'I have turned it there',
    takeBack: 'Take back what was said',
    cautionsLabel: 'Before you touch it',
    cautions: [
      'Switch heavy loads off before you turn a selector or a main switch.',
      'No reading proves a circuit dead. Work behind the panel belongs to a licensed electrician; local codes come first.',
    ],
  },

  person: {
    label: 'Your name',
    why: 'The record keeps this name beside what you said. This browser remembers it.',
    empty: 'Write a name first.',
    cancel: 'Cancel',
    sending: 'Sending',
  },
} as const;
