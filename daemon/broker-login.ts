/** How panelward signs in at a broker that is not its own: from settings and secrets to intake's options. */
import { readFileSync } from 'node:fs';
import type { IntakeOptions } from './intake/intake.ts';
import type { Secrets } from './settings/secrets.ts';
import type { BrokerSection } from './settings/sensors-section.ts';

type BrokerLogin = Pick<IntakeOptions, 'mqttUser' | 'mqttPassword' | 'mqttCa'>;

/** `problem` is a whole sentence; it repeats no secret. */
export function readBrokerLogin(
  { user, passwordSecret, caFile }: BrokerSection,
  secrets: Secrets,
): BrokerLogin | { problem: string } {
  const login: BrokerLogin = {};
  if (user !== undefined) login.mqttUser = user;
  if (passwordSecret !== undefined) {
    const password = secrets.get(passwordSecret);
    if (password === undefined) {
      return { problem: 'The password for the MQTT broker is not among the secrets.' };
    }
    login.mqttPassword = password;
  }
  if (caFile !== undefined) {
    try {
      login.mqttCa = readFileSync(caFile, 'utf8');
    } catch (error) {
      const why = error instanceof Error ? error.message : String(error);
      return { problem: `The certificate authority of the MQTT broker cannot be read: ${why}` };
    }
  }
  return login;
}
