/** Reads a password: from a terminal without showing it, else the first line of standard input. */
import { createInterface } from 'node:readline';
import { Writable } from 'node:stream';

/** Exactly as it was typed, without the line's end; empty where nothing comes. */
export function readPassword(question: string): Promise<string> {
  const isTerminal = process.stdin.isTTY;
  // Whatever the line editor would echo goes nowhere.
  const nowhere = new Writable({ write: (_bytes, _encoding, done) => done() });
  if (isTerminal) process.stderr.write(question);
  const lines = createInterface({ input: process.stdin, output: nowhere, terminal: isTerminal });
  return new Promise((resolve) => {
    let typed = '';
    lines.once('line', (line) => {
      typed = line;
      lines.close();
    });
    lines.once('SIGINT', () => lines.close());
    lines.once('close', () => {
      if (isTerminal) process.stderr.write('\n');
      resolve(typed);
    });
  });
}
