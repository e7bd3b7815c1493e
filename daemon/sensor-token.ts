/** `panelward sensor-token NAME`: a new token, shown once, and the lines of settings that let it in. */
import { randomBytes } from 'node:crypto';
import { hashOfToken } from './intake/sensor-access.ts';

/** A key that holds against guessing without any slow hash. */
const TOKEN_BYTES = 16;

export interface SensorToken {
  /** 22 characters of base64url, 128 random bits. Nothing keeps it. */
  token: string;
  lines: string[];
}

/** `name` has the shape of a sensor's name. */
export function makeSensorToken(name: string): SensorToken {
  const token = randomBytes(TOKEN_BYTES).toString('base64url');
  return {
    token,
    lines: [
      `MQTT user name and client id: ${name}`,
      `MQTT password: ${token}`,
      'The password is not kept and is not shown again. Give it to the sensor, then add to settings.yaml:',
      '',
      'sensors:',
      '  credentials:',
      `    ${name}:`,
      `      tokenHash: '${hashOfToken(token).toString('hex')}'`,
      `      publish: [panel/${name}/]  # its topics; a / at the end takes all below`,
      '      subscribe: []',
      '',
      'It counts from the next start of panelward on.',
    ],
  };
}
