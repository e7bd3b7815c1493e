/** Letters as JSON on an MQTT topic; delivered once the broker has said that it has it. */
import type { Publish } from './mqtt-publisher.ts';
import { bodyOf } from './webhook-way.ts';
import type { Way } from './way.ts';

export function mqttWay(id: string, topic: string, publish: Publish): Way {
  return {
    id,
    kind: 'mqtt',
    send: (letter, signal) =>
      publish({ topic, payload: JSON.stringify(bodyOf(letter)), isRetained: false }, signal),
  };
}
