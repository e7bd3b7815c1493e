/** Words of the printable report. */
export const report = {
  report: {
    heading: 'Report',
    print: 'Print',
    of: (boat: string, version: string) => `${boat}, written by panelward ${version}`,
  },
} as const;
