/** Words of who may do what: signing in and out, setting up, what is not offered and why. */
export const access = {
  access: {
    role: { guest: 'guest', crew: 'crew', technician: 'technician' },
    signedInAs: (name: string, role: string) => `Signed in as ${name} (${role})`,
    looking: 'You are looking as a guest.',
    signIn: 'Sign in',
    signOut: 'Sign out',
    back: 'Back',
    sending: 'One moment',
    needsCrew: 'Only the crew can do something about alerts. Sign in to do so.',
    needsTechnician: 'Only a technician takes alerts out of service and puts them back.',
    crewExports: 'The crew can save the readings as a file. Sign in to do so.',

    door: {
      heading: 'Sign in',
      why: 'This page shows a boat’s electrics to her own people only.',
      name: 'Name',
      password: 'Password',
      show: 'Show the password',
      lost: 'Forgotten? On the boat’s own computer, panelward access password sets another.',
    },
    setUp: {
      heading: 'Set up this boat',
      why: 'Nobody is registered yet. The first person becomes technician and can let others in.',
      code: 'One-time code',
      codeHint:
        'Eight digits, on the console of the boat’s own computer and in a file of its data folder. It is good for 15 minutes; panelward access code makes a new one.',
      name: 'Your name',
      password: 'Choose a password',
      passwordHint: 'At least 8 characters. A few words in a row are easy to keep in mind.',
      confirm: 'Set up',
    },
    again: {
      heading: 'Your password again',
      why: 'It was given a while ago, and what you are about to do changes things. Then try it again.',
      confirm: 'Go on',
      cancel: 'Cancel',
    },
    empty: 'Fill in every field first.',
    notSecure:
      'This connection is not encrypted: whoever listens in on the network can read along.',

    people: {
      heading: 'Persons and what was done',
      load: 'Show persons, sessions and the audit trail',
      persons: 'Persons',
      sessions: 'Signed in now',
      from: (address: string, clock: string) => `from ${address}, last used ${clock}`,
      own: 'this browser',
      end: 'End',
      endOf: (name: string) => `the session of ${name}`,
      audit: 'What was done',
      auditHint: 'Newest first. Nothing in this list can be changed or taken out unnoticed.',
      older: 'Older entries',
      by: (who: string, address: string) => (address === '' ? who : `${who}, ${address}`),
      nobody: 'nobody signed in',
      change:
        'Persons are added and removed on the boat’s own computer: panelward access add NAME.',
    },
  },
} as const;
