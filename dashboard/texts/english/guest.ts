/** Words for somebody who has never been aboard. */
export const guest = {
  guest: {
    heading: 'For guests',
    power: 'Where the power comes from',
    wrong: 'Is anything wrong?',
    nothingWrong: 'Nothing that panelward can see.',
    notKnown: 'Not known yet.',
    tell: 'Tell whoever is responsible for the boat. Touch nothing at the panel.',
  },
} as const;
