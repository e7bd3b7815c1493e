/** Words of what can be chosen for one screen alone. */
export const display = {
  display: {
    open: 'Display',
    heading: 'Display',
    kept: 'Kept on this device only.',
    palette: 'Palette',
    palettes: {
      device: 'As this device is set',
      day: 'Day',
      dusk: 'Dusk',
      night: 'Night',
      clock: 'By the clock',
    },
    about: {
      device: 'Day where it is set to light, dusk where it is set to dark.',
      night: 'Dim red on black, for eyes that are used to the dark.',
      clock: (day: string, dusk: string, night: string, morning: string) =>
        `Day from ${day}, dusk from ${dusk}, night from ${night}, dusk again from ${morning}.`,
    },
    clock: 'Time of day',
    clocks: { '24 h': '24 hours', '12 h': '12 hours, am and pm' },
    degrees: 'Temperature',
    scales: { '°C': 'Celsius', '°F': 'Fahrenheit' },
    close: 'Close',
  },
} as const;
