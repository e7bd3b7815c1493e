/** Words of the panel schedule. */
export const circuits = {
  circuits: {
    heading: 'Circuits',
  },
} as const;
