/** What comes in over MQTT and open marine data, and what was refused. */
import type { IntakeHealth } from '../../daemon/api/contract.ts';
import { clockText, DASH, fixed } from '../format.ts';
import { texts } from '../texts.ts';
import { Facts } from './facts.tsx';

const words = texts.health;

type Fact = readonly [string, string];

function mqttFacts({ mqtt }: IntakeHealth): Fact[] {
  const facts: Fact[] = [
    [words.state, mqtt.isConnected ? words.connected : words.notConnected],
    [words.address, mqtt.address],
    [words.messages, fixed(mqtt.messages, 0)],
    [words.readings, fixed(mqtt.readings, 0)],
  ];
  if (mqtt.clients !== null) facts.push([words.clients, fixed(mqtt.clients, 0)]);
  return facts;
}

function marineFacts(marineData: NonNullable<IntakeHealth['marineData']>): Fact[] {
  const facts: Fact[] = [
    [words.state, marineData.isConnected ? words.connected : words.notConnected],
    [words.address, marineData.url],
    [words.frames, fixed(marineData.frames, 0)],
    [words.readings, fixed(marineData.readings, 0)],
    [words.repeated, fixed(marineData.repeated, 0)],
  ];
  if (marineData.lastError !== null) facts.push([words.lastError, marineData.lastError]);
  return facts;
}

function Refused({ refused, nowMs }: { refused: IntakeHealth['refused']; nowMs: number }) {
  if (refused.length === 0) return <p class="soft">{words.noneRefused}</p>;
  return (
    <div class="scrolls" tabIndex={0} role="region" aria-label={words.refusedCaption}>
      <table class="plain">
        <caption class="for-ears">{words.refusedCaption}</caption>
        <thead>
          <tr>
            <th scope="col">{words.reason}</th>
            <th scope="col">{words.count}</th>
            <th scope="col">{words.lastTopic}</th>
            <th scope="col">{words.last}</th>
          </tr>
        </thead>
        <tbody>
          {refused.map(({ reason, count, lastTopic, lastAtMs }) => (
            <tr key={reason}>
              <th scope="row">{reason}</th>
              <td class="number">{fixed(count, 0)}</td>
              <td class="address">{lastTopic ?? DASH}</td>
              <td class="number">{lastAtMs === null ? DASH : clockText(lastAtMs, nowMs)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

export function IntakeFacts({ intake, nowMs }: { intake: IntakeHealth; nowMs: number }) {
  const { mqtt, marineData, refused, unmapped } = intake;
  return (
    <section aria-labelledby="intake-heading">
      <h3 id="intake-heading">{words.intake}</h3>
      <h4>{mqtt.mode === 'embedded' ? words.mqttEmbedded : words.mqttClient}</h4>
      <Facts facts={mqttFacts(intake)} />
      {marineData !== null && (
        <>
          <h4>{words.marineData}</h4>
          <Facts facts={marineFacts(marineData)} />
        </>
      )}
      <h4>{words.refused}</h4>
      <Refused refused={refused} nowMs={nowMs} />
      <h4>{words.unmapped}</h4>
      {unmapped.length === 0 ? (
        <p class="soft">{words.noneUnmapped}</p>
      ) : (
        <Facts facts={unmapped.map(({ address, count }) => [address, fixed(count, 0)] as const)} />
      )}
    </section>
  );
}
