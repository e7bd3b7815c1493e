/** What the single-line diagram says, and the question why a part reads no voltage. */
export const singleLine = {
  whyDead: {
    noVoltage: 'Why no voltage?',
    noVoltageOn: (label: string) => `Why is there no voltage on ${label}?`,
    notDrawing: 'Why does it draw nothing?',
    doThis: 'What to do:',
  },
  singleLine: {
    heading: 'Single-line diagram',
    title: (boat: string) => `Single-line diagram of ${boat}`,
    frame: 'Single-line diagram; it scrolls sideways',
    inWords: 'The diagram in words',
    legend: 'Legend',
    circuits: (all: number, drawing: number) =>
      `${all === 1 ? '1 circuit' : `${all} circuits`}, ${drawing} drawing`,
    unfold: (bus: string) => `Draw the circuits of ${bus}`,
    fold: (bus: string) => `Fold ${bus} away`,
    energised: { live: 'voltage seen', dead: 'no voltage seen', unknown: 'voltage not known' },
    source: (label: string, kind: string, live: string) => `${label} (${kind}): ${live}.`,
    selector: (label: string, stands: string, live: string) =>
      `Selector ${label} ${stands}; behind it ${live}.`,
    mainSwitch: (label: string, position: string, from: string, live: string) =>
      `Main switch ${label}, from ${from}: ${position}; behind it ${live}.`,
    bus: (label: string, from: string, live: string, circuits: string) =>
      `${label}, from ${from}: ${live}; ${circuits}.`,
    battery: 'battery',
    signs: {
      'shore inlet': 'Shore inlet',
      generator: 'Generator or alternator',
      inverter: 'Inverter',
      solar: 'Solar',
      battery: 'Battery',
      closed: 'Main switch closed',
      open: 'Main switch open',
      tripped: 'Tripped',
      positionUnknown: 'Position not known',
      breakerClosed: 'Breaker of a circuit that draws',
      breakerUnknown: 'Breaker of one that does not draw: on or off, nobody sees',
      live: 'Voltage seen',
      dead: 'No voltage seen, which proves nothing dead',
      unknown: 'Voltage not known',
    },
  },
} as const;
