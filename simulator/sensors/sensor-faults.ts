/** What real clamps, shunts and their networks do wrong, each kind switchable by itself. */

export interface SensorFaults {
  /** Each channel reads wrong by a fixed share. */
  hasGainError: boolean;
  /** Current channels read a little with nothing connected. */
  hasPhantom: boolean;
  hasNoise: boolean;
  hasRounding: boolean;
  /** Messages come early or late by up to this share of their period. */
  jitterRatio: number;
  /** Share of messages, each by chance. */
  lossRatio: number;
  duplicateRatio: number;
  outOfOrderRatio: number;
  /** Per publisher and day, on average. */
  lossBurstsPerDay: number;
  freezesPerDay: number;
  rebootsPerDay: number;
  /** Every battery's shunt reads so many amperes too much, in the place of its small own offset. */
  shuntOffsetAmps?: number;
}

/** Exact and punctual. */
export const PERFECT_SENSORS: SensorFaults = {
  hasGainError: false,
  hasPhantom: false,
  hasNoise: false,
  hasRounding: false,
  jitterRatio: 0,
  lossRatio: 0,
  duplicateRatio: 0,
  outOfOrderRatio: 0,
  lossBurstsPerDay: 0,
  freezesPerDay: 0,
  rebootsPerDay: 0,
};

/** Sound sensors on a sound network: common practice for hobby-grade clamps. */
export const EVERYDAY_SENSORS: SensorFaults = {
  hasGainError: true,
  hasPhantom: true,
  hasNoise: true,
  hasRounding: true,
  jitterRatio: 0.1,
  lossRatio: 0.005,
  duplicateRatio: 0.001,
  outOfOrderRatio: 0.002,
  lossBurstsPerDay: 0,
  freezesPerDay: 0,
  rebootsPerDay: 0,
};

/** The same on a bad network: bursts of loss, values that freeze, publishers that start anew. */
export const HARSH_SENSORS: SensorFaults = {
  ...EVERYDAY_SENSORS,
  lossBurstsPerDay: 6,
  freezesPerDay: 1,
  rebootsPerDay: 2,
};
