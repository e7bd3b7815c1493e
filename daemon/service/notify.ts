/**
 * Tells systemd that panelward is ready, well or stopping (sd_notify(3), systemd-notify(1)), where
 * it was started by systemd with `Type=notify`. Node cannot open the datagram socket itself, so a
 * small program does; the unit needs `NotifyAccess=all`. Says that it is well only while it is: a
 * daemon whose loop or evaluation hangs is started anew by the watchdog.
 */
import { execFile } from 'node:child_process';
import type { Clock } from '../clock.ts';
import type { LoopLag } from './loop-lag.ts';

export interface NotifyOptions {
  environment: Readonly<Record<string, string | undefined>>;
  /** Of this process; the watchdog may be meant for another (`WATCHDOG_PID`). */
  pid: number;
  clock: Clock;
  lag: Pick<LoopLag, 'take'>;
  /** Of the last evaluation on the clock; null before the first. */
  lastEvaluationMs: () => number | null;
  log: (line: string) => void;
  /** Found on the path; another in tests. */
  program?: string;
}

export interface Notify {
  ready(status: string): Promise<void>;
  stopping(): Promise<void>;
  /** Why the last beat of the watchdog was left out; null when it was not. */
  readonly withheld: string | null;
}

const LAG_MOST_MS = 1000;
const EVALUATION_AGE_MOST_MS = 10_000;
const PROGRAM_PATIENCE_MS = 5000;
/** Three chances in the time that systemd waits. */
const BEATS_IN_TIME = 3;

const SILENT: Notify = {
  ready: () => Promise.resolve(),
  stopping: () => Promise.resolve(),
  withheld: null,
};

/** Does nothing at all where systemd does not listen. */
export function openNotify(options: NotifyOptions): Notify {
  const { environment } = options;
  return environment['NOTIFY_SOCKET'] ? new SystemdNotify(options) : SILENT;
}

class SystemdNotify implements Notify {
  readonly #options: NotifyOptions;
  #stopBeating: () => void = () => {};
  #isTelling = false;
  #hasComplained = false;
  withheld: string | null = null;

  constructor(options: NotifyOptions) {
    this.#options = options;
  }

  async ready(status: string): Promise<void> {
    await this.#tell('READY=1', `STATUS=${oneLine(status)}`);
    const everyMs = watchdogMs(this.#options) / BEATS_IN_TIME;
    if (everyMs > 0) this.#stopBeating = this.#options.clock.every(everyMs, () => this.#beat());
  }

  async stopping(): Promise<void> {
    this.#stopBeating();
    await this.#tell('STOPPING=1', 'STATUS=Stopping.');
  }

  #beat(): void {
    const was = this.withheld;
    this.withheld = this.#illness();
    if (this.withheld !== null) {
      if (was === null)
        this.#options.log(`The watchdog is not told that all is well: ${this.withheld}`);
      return;
    }
    // One that hangs is not joined by others.
    if (this.#isTelling) return;
    this.#isTelling = true;
    void this.#tell('WATCHDOG=1').finally(() => (this.#isTelling = false));
  }

  #illness(): string | null {
    const { lag, lastEvaluationMs, clock } = this.#options;
    const { greatestMs } = lag.take();
    if (greatestMs >= LAG_MOST_MS) return `the event loop was ${Math.round(greatestMs)} ms late.`;
    const lastMs = lastEvaluationMs();
    if (lastMs === null) return 'nothing has been evaluated yet.';
    const ageMs = clock.nowMs() - lastMs;
    if (ageMs < EVALUATION_AGE_MOST_MS) return null;
    return `the last evaluation was ${Math.round(ageMs / 1000)} s ago.`;
  }

  #tell(...words: string[]): Promise<void> {
    const { program = 'systemd-notify', environment, log } = this.#options;
    return new Promise((resolve) => {
      const settings = { timeout: PROGRAM_PATIENCE_MS, env: { ...environment } };
      execFile(program, words, settings, (error) => {
        if (error && !this.#hasComplained) {
          this.#hasComplained = true;
          log(`systemd cannot be told anything: ${error.message.split('\n')[0] ?? ''}`);
        }
        resolve();
      });
    });
  }
}

/** How long systemd waits for a beat, ms; 0 where no watchdog is set or it is not for us. */
function watchdogMs({ environment, pid }: NotifyOptions): number {
  const forPid = environment['WATCHDOG_PID'];
  if (forPid !== undefined && forPid !== String(pid)) return 0;
  const microseconds = Number(environment['WATCHDOG_USEC'] ?? 0);
  return Number.isFinite(microseconds) && microseconds > 0 ? microseconds / 1000 : 0;
}

const oneLine = (text: string): string => text.replaceAll(/\s+/g, ' ');
