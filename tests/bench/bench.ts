/** Prints what the panel state and the rules cost on this machine. Not a test: nothing fails here. */
import { perReadingFigures } from './per-reading.ts';
import { positionFigures } from './positions.ts';

for (const line of [...perReadingFigures(), ...positionFigures()]) console.log(line);
