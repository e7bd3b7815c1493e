/** Prints what the panel state and the rules cost on this machine. Not a test: nothing fails here. */
import { positionFigures } from './positions.ts';

for (const line of positionFigures()) console.log(line);
