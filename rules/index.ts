/** What the rest of the project may use of the rules; no other folder imports past this file. */
export * from './electrical/index.ts';
