/** Where intake says what a person should read later. Lines hold no secrets and no payloads. */
export interface IntakeLog {
  info(text: string): void;
  warn(text: string): void;
}
