/** Words about messages that this browser shows. */
export const push = {
  push: {
    heading: 'Messages in this browser',
    tellHere: (name: string) => `Show messages for ${name} here`,
    tellInstead: (name: string) => `Show those for ${name}`,
    told: 'This browser shows messages of the boat, even while the page is closed. They come over the Internet: none comes while the boat or this phone is without it.',
    tellNoMore: 'Show no more here',
    asking: 'Asking the browser…',
    stopping: 'Stopping…',
    isTold: (name: string) =>
      `This browser shows messages for ${name} from now on. Send a test to see that they come.`,
    isToldNoMore: 'This browser shows no more messages.',
    why: {
      'not secure':
        'This browser shows messages only of pages that come over https. The page came without; whoever keeps the boat can make a certificate with “panelward tls”.',
      'not able':
        'This browser shows no messages of pages. On an iPhone or iPad, put the page on the home screen first and open it there.',
      forbidden:
        'Notifications of this page are forbidden in this browser. Allow them in its settings for this page, then come back here.',
    },
    trouble: {
      forbidden:
        'The browser was not allowed to show messages. Allow notifications of this page in its settings, then try again.',
      'no service':
        'The browser could not reach its maker’s push service. It needs the Internet for that; try again when this phone or computer has it.',
      'not kept':
        'The browser has not kept this page, and without that shows no messages. It keeps pages only where it trusts the certificate of the boat.',
      other: 'The browser could not do it and does not say why. Reload the page and try again.',
    },
  },
} as const;
