/** Runs the circuit simulator ngspice on a netlist and gives back what it printed, by name. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Results as ngspice names them, in small letters: `vm(leg1,bar)`, `after3600`. */
export interface Simulated {
  /** Throws, with everything that was printed, when there is no such result. */
  value(name: string): number;
}

export function simulate(netlist: string): Simulated {
  const folder = mkdtempSync(join(tmpdir(), 'netlist-'));
  try {
    const file = join(folder, 'circuit.cir');
    writeFileSync(file, netlist);
    return readResults(run(file));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** Simulates one of the circuits in `netlists/`. */
export function simulateFile(name: string): Simulated {
  return simulate(readFileSync(new URL(`netlists/${name}`, import.meta.url), 'utf8'));
}

function run(file: string): string {
  const ran = spawnSync('ngspice', ['-b', file], { encoding: 'utf8', timeout: 60_000 });
  if (ran.error !== undefined && 'code' in ran.error && ran.error.code === 'ENOENT') {
    throw new Error('ngspice is missing: sudo apt-get install ngspice');
  }
  if (ran.error !== undefined) throw ran.error;
  if (ran.status !== 0) throw new Error(`ngspice ended with ${ran.status}:\n${ran.stderr}`);
  return ran.stdout;
}

function readResults(printed: string): Simulated {
  const results = new Map<string, number>();
  for (const [, name, number] of printed.matchAll(/^(\S+)\s*=\s*([-+\d.e]+)/gim)) {
    if (name !== undefined) results.set(name.toLowerCase(), Number(number));
  }
  return {
    value(name) {
      const found = results.get(name);
      if (found === undefined) throw new Error(`ngspice gave no ${name}:\n${printed}`);
      return found;
    },
  };
}
