/** Where points are read from: addresses that can exist, and no two points at one of them. */
import { entriesOf } from './draft.ts';
import type { Checked, DraftPoint, Path, Say } from './draft.ts';
import { doPatternsOverlap } from './source-patterns.ts';
import { shown } from './words.ts';

export function checkAddresses(checked: Checked): void {
  for (const [id, point] of entriesOf(checked.draft.points)) {
    const path = ['points', id];
    const given = checked.keysOf(path);
    const addresses = ['mqtt', 'marineData'].filter((key) => given.includes(key));
    if (addresses.length !== 1) {
      const found = addresses.length === 0 ? 'neither' : 'both';
      checked.say.errorAtKey(
        path,
        `\`${id}\` must have \`mqtt\` or \`marineData\`, found ${found}`,
      );
    }
    if (point.mqtt?.topic !== undefined) checkTopic(point.mqtt.topic, path, checked.say);
    if (point.mqtt?.pointer !== undefined) checkPointer(point.mqtt.pointer, path, checked.say);
    if (point.marineData?.path !== undefined)
      checkDataPath(point.marineData.path, path, checked.say);
  }
  checkTopicsShared(checked);
  checkPathsShared(checked);
}

const MOST_TOPIC_LEVELS = 10;

/** MQTT 5.0 section 4.7, from memory: no wildcards in a topic, $ for the broker; levels may be empty. */
function checkTopic(topic: string, point: Path, say: Say): void {
  const path = [...point, 'mqtt', 'topic'];
  if (/[+#]/.test(topic)) {
    say.error(
      path,
      `\`topic\` must be one topic without the wildcards + and #, got ${shown(topic)}`,
    );
  } else if (topic.startsWith('$')) {
    say.error(
      path,
      `\`topic\` must not begin with $, which brokers keep to themselves, got ${shown(topic)}`,
    );
  } else if (topic.split('/').length > MOST_TOPIC_LEVELS) {
    say.error(
      path,
      `\`topic\` must have at most ${MOST_TOPIC_LEVELS} levels, got ${topic.split('/').length}`,
    );
  }
}

/** RFC 6901, section 3. */
function checkPointer(pointer: string, point: Path, say: Say): void {
  const path = [...point, 'mqtt', 'pointer'];
  if (!pointer.startsWith('/')) {
    const hint = `write /${pointer
      .replace(/^[$.]+/, '')
      .replaceAll(/[.[]/g, '/')
      .replaceAll(']', '')}`;
    say.error(path, `\`pointer\` must begin with /, got ${shown(pointer)}; ${hint}`);
  } else if (/~(?![01])/.test(pointer)) {
    say.error(
      path,
      `\`pointer\` must write ~ as ~0 (and / inside a name as ~1), got ${shown(pointer)}`,
    );
  }
}

const SEGMENT = /^[A-Za-z0-9_-]+$/;
const FORBIDDEN_SEGMENTS = ['__proto__', 'constructor', 'prototype'];

function checkDataPath(dataPath: string, point: Path, say: Say): void {
  const path = [...point, 'marineData', 'path'];
  const prefix = /^vessels\.[^.]+\./.exec(dataPath)?.[0];
  const segments = dataPath.split('.');
  if (prefix !== undefined) {
    say.error(
      path,
      `\`path\` must begin below the vessel itself, got ${shown(dataPath)}; write ${dataPath.slice(prefix.length)}`,
    );
  } else if (dataPath.includes('*')) {
    say.error(path, `\`path\` must be one path without *, got ${shown(dataPath)}`);
  } else if (!segments.every((segment) => SEGMENT.test(segment))) {
    const hint = dataPath.includes('/') ? `; write ${segments.join('.').replaceAll('/', '.')}` : '';
    say.error(
      path,
      `\`path\` must be names of letters, digits, - and _ with single dots between, got ${shown(dataPath)}${hint}`,
    );
  } else if (segments.some((segment) => FORBIDDEN_SEGMENTS.includes(segment))) {
    say.error(
      path,
      `\`path\` must not hold the name ${FORBIDDEN_SEGMENTS.join(', ')}, got ${shown(dataPath)}`,
    );
  }
}

function checkTopicsShared({ draft, say, lineOf, keysOf }: Checked): void {
  const byTopic = new Map<string, Map<string | undefined, string>>();
  for (const [id, { mqtt }] of entriesOf(draft.points)) {
    if (mqtt?.topic === undefined) continue;
    const { topic, pointer } = mqtt;
    // There is one, but it makes no sense.
    if (pointer === undefined && keysOf(['points', id, 'mqtt']).includes('pointer')) continue;
    const pointers = byTopic.get(topic) ?? new Map<string | undefined, string>();
    byTopic.set(topic, pointers);
    const other = pointers.get(pointer);
    const plain = pointers.get(undefined);
    const [[, pointed] = []] = pointers;
    if (other !== undefined) {
      const where = `line ${lineOf(['points', other])}`;
      say.errorAtKey(
        ['points', id, 'mqtt'],
        `"${other}" (${where}) reads from this topic${pointer === undefined ? '' : ' and pointer'} already`,
      );
    } else if (plain !== undefined || (pointer === undefined && pointed !== undefined)) {
      const mixed = plain ?? pointed ?? '';
      say.errorAtKey(
        ['points', id, 'mqtt'],
        `"${mixed}" (line ${lineOf(['points', mixed])}) reads from this topic ${plain === undefined ? 'with' : 'without'} a pointer; a payload cannot be JSON and a plain value`,
      );
    }
    if (other === undefined) pointers.set(pointer, id);
  }
}

function checkPathsShared({ draft, say, lineOf }: Checked): void {
  const byPath = new Map<string, { id: string; point: DraftPoint }[]>();
  for (const [id, point] of entriesOf(draft.points)) {
    const dataPath = point.marineData?.path;
    if (dataPath === undefined) continue;
    const readers = byPath.get(dataPath) ?? [];
    byPath.set(dataPath, readers);
    const other = readers.find((reader) =>
      doPatternsOverlap(reader.point.marineData?.source ?? '*', point.marineData?.source ?? '*'),
    );
    if (other === undefined) {
      readers.push({ id, point });
      continue;
    }
    say.errorAtKey(
      ['points', id, 'marineData'],
      `"${other.id}" (line ${lineOf(['points', other.id])}) reads this path already, and a source could match both; give each a \`source\` of its own`,
    );
  }
}
