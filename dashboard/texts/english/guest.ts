/** Words for somebody who has never been aboard. No figures. */
export const guest = {
  guest: {
    heading: 'For guests',
    power: 'Where the power comes from',
    ac: 'Outlets and large appliances',
    dc: 'Lights and pumps',
    supply: {
      'shore inlet': 'from the dock, through the cord',
      generator: 'from a generator aboard',
      inverter: 'from the batteries, through the inverter',
      alternator: 'from the engine',
      solar: 'from the sun',
      battery: 'from the batteries',
      nothing: 'from nothing just now',
      unknown: 'not known just now',
    },
    wrong: 'Is anything wrong?',
    nothingWrong: 'Nothing that panelward can see.',
    notKnown: 'Not known yet.',
    old: 'Not known: this page has not heard from the boat for a while.',
    urgent: 'Yes. Tell whoever is responsible for the boat now.',
    notUrgent: 'Something small. Tell whoever is responsible for the boat when you see them.',
    about: (label: string) => `Something about ${label}`,
    touchNothing: 'Touch nothing at the panel.',
    long: 'How long does it last?',
    fromShore: 'As long as the cord is plugged in and the dock has power.',
    fromGenerator: 'As long as the generator runs and has fuel.',
    battery: (label: string, text: string) => `${label}: ${text}.`,
    length: {
      hardly: 'not long any more; save power and tell whoever is responsible',
      'some hours': 'some hours as things are now',
      'a night': 'through the night as things are now',
      'more than a day': 'more than a day as things are now',
      charging: 'being charged just now',
      unknown: 'not known',
    },
    dark: 'If the lights go out',
    steps: {
      stay: 'Stay where you are until you can see. Use a torch or a telephone, never a flame.',
      tell: 'Call or wake whoever is responsible for the boat. One breaker may have tripped; they know the panel.',
      dock: 'Look at the other boats and the dock. Where all is dark, the dock has lost its power: wait.',
      generator:
        'If a generator runs and somebody has a headache or feels sick: everybody out into fresh air first. Its exhaust can kill.',
      water: (pumps: string) =>
        `Leave ${pumps} alone, even where nothing seems to run. Water in the boat: tell at once, and keep out of it, for it may be live.`,
      fire: 'Smoke, or a smell of burning: everybody on deck, wake the others, call for help.',
      asked: (switches: string) =>
        `You may be asked on the telephone how these stand. Read them off, do not turn them: ${switches}.`,
    },
    cautions: 'Take care',
    caution: [
      'Touch no plug, cord, breaker or switch. A dark cable can still be live.',
      'The cord to the dock is for somebody who knows how: the breaker on the dock comes first.',
      'Nobody can tell from this page that anything is safe to touch.',
    ],
  },
} as const;
