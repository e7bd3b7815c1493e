/** The three stages of a charger or solar controller: bulk, absorption, float. */

export interface ChargingParameters {
  absorptionVolts: number;
  floatVolts: number;
  /** Absorption ends when the bank takes less than this... */
  tailAmps: number;
  /** ...or after so many hours. */
  absorptionHours: number;
  /** Starts anew when the bank has stayed below this for a minute. */
  restartVolts: number;
}

export type ChargingStage = 'off' | 'bulk' | 'absorption' | 'float';

const TAIL_SECONDS = 120;
const RESTART_SECONDS = 60;

export class Charging {
  stage: ChargingStage = 'off';
  /** A regulator that is stuck holds these volts in every stage. */
  holdsVolts: number | null = null;
  readonly #parameters: ChargingParameters;
  #stageSeconds = 0;
  #tailSeconds = 0;
  #lowSeconds = 0;

  constructor(parameters: ChargingParameters) {
    this.#parameters = parameters;
  }

  /** Volts it will not go beyond; zero when off. */
  get voltsWanted(): number {
    const { absorptionVolts, floatVolts } = this.#parameters;
    if (this.stage === 'off') return 0;
    if (this.holdsVolts !== null) return this.holdsVolts;
    return this.stage === 'float' ? floatVolts : absorptionVolts;
  }

  /** What it saw at the bank for the last `seconds`; `isPowered` false puts it out. */
  advance(bank: { volts: number; amps: number }, isPowered: boolean, seconds: number): void {
    this.#stageSeconds += seconds;
    if (!isPowered) this.#enter('off');
    else if (this.stage === 'off') this.#enter('bulk');
    else if (this.stage === 'bulk') {
      if (bank.volts >= this.#parameters.absorptionVolts - 0.05) this.#enter('absorption');
    } else if (this.stage === 'absorption') this.#absorb(bank.amps, seconds);
    else this.#watchForRestart(bank.volts, seconds);
  }

  #absorb(amps: number, seconds: number): void {
    this.#tailSeconds = amps < this.#parameters.tailAmps ? this.#tailSeconds + seconds : 0;
    const isOver = this.#stageSeconds > this.#parameters.absorptionHours * 3600;
    if (this.#tailSeconds > TAIL_SECONDS || isOver) this.#enter('float');
  }

  #watchForRestart(volts: number, seconds: number): void {
    this.#lowSeconds = volts < this.#parameters.restartVolts ? this.#lowSeconds + seconds : 0;
    if (this.#lowSeconds > RESTART_SECONDS) this.#enter('bulk');
  }

  #enter(stage: ChargingStage): void {
    if (stage === this.stage) return;
    this.stage = stage;
    this.#stageSeconds = 0;
    this.#tailSeconds = 0;
    this.#lowSeconds = 0;
  }
}
