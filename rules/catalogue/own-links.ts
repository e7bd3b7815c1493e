/**
 * What readings come in by cannot be reached. All sensors behind it are silent then, and this is
 * why: their silences are told inside it, so that one cause is one alert.
 */
import type { Boat, Point } from '../boat/boat.ts';
import type { Check } from '../alerts/check.ts';
import type { Link } from '../self-report.ts';
import { freshReport, holds, ownCheck } from './own-health.ts';
import { publishers } from './publishers.ts';
import type { Rule } from './rule.ts';
import { keyOf } from './rule-names.ts';

/** Before the silence of a sensor is told; after it a short break has ended by itself. */
const CAUTION_AFTER_MS = 45_000;
/** Shorter gaps are nobody's night. */
const WARNING_AFTER_MS = 10 * 60_000;
const OVER_AFTER_MS = 30_000;

type Via = Point['address']['via'];

/** Keys of the silences that follow when nothing comes by this link. */
function silencesBehind(boat: Boat, isMqtt: boolean): string[] {
  const own = publishers(boat).filter(({ first }) => isOf(first.address.via, isMqtt));
  const keys = own.flatMap(({ first, points }) => [
    keyOf('sensor-silent', `from-${first.id}`),
    ...(points.length > 1 ? points.map(({ id }) => keyOf('sensor-silent', id)) : []),
  ]);
  const isAll = own.length > 0 && own.length === publishers(boat).length;
  return isAll ? [keyOf('sensor-silent', 'all'), ...keys] : keys;
}

const isOf = (via: Via, isMqtt: boolean): boolean => (via === 'mqtt') === isMqtt;

function linkCheck(boat: Boat, name: 'mqtt' | 'marine-data', link: Link | null | undefined): Check {
  const isMqtt = name === 'mqtt';
  const what = isMqtt ? 'The MQTT broker' : 'The open marine data server';
  const isDown = link === undefined ? undefined : link !== null && !link.isConnected;
  return ownCheck(
    'link-down',
    name,
    [
      { priority: 'warning', verdict: holds(isDown), onDelayMs: WARNING_AFTER_MS },
      { priority: 'caution', verdict: holds(isDown), onDelayMs: CAUTION_AFTER_MS },
    ],
    OVER_AFTER_MS,
    () => ({
      title: `${what} cannot be reached`,
      means: `No reading comes from ${link?.address ?? 'it'}. What its sensors measure is unknown until then; alerts that rest on it are held, neither raised nor cleared.`,
      doThis: `See whether the computer that runs it has power and is on the boat's network. Until then have somebody look at the boat herself.`,
    }),
    isDown === true ? silencesBehind(boat, isMqtt) : [],
  );
}

export const ownLinks: Rule = (context) => {
  const { links } = freshReport(context);
  return [
    linkCheck(context.boat, 'mqtt', links?.mqtt),
    linkCheck(context.boat, 'marine-data', links === undefined ? undefined : links.marineData),
  ];
};
