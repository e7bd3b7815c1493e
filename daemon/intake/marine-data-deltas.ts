/** What happens to every open marine data delta: whose it is, which source, old or new, then decode. */
import type { Reading, Silence } from '../../rules/index.ts';
import type { Clock } from '../clock.ts';
import type { IntakeCounters, MarineCount } from './intake-counters.ts';
import type { IntakeLog } from './intake-log.ts';
import type { MarineFrame, MarineUpdate, MarineValue } from './marine-data-frame.ts';
import { createValueOrder } from './marine-data-order.ts';
import { measure } from './measured-value.ts';
import type { PlannedPoint } from './point-plan.ts';
import { printable } from './refusals.ts';
import { createSourceBinding } from './source-binding.ts';

export interface DeltaIntake {
  /** A new subscription went out to the vessel that calls itself `self`; replay may follow. */
  subscribed(self: string | null, serverMs: number | null): void;
  take(delta: MarineFrame & { kind: 'delta' }): void;
}

export function createDeltaIntake(options: {
  byPath: ReadonlyMap<string, readonly PlannedPoint[]>;
  clock: Clock;
  counters: IntakeCounters;
  channel: MarineCount;
  log: IntakeLog;
  onReading: (input: Reading | Silence) => void;
}): DeltaIntake {
  const { byPath, clock, counters, channel, log, onReading } = options;
  const order = createValueOrder();
  const binding = createSourceBinding();
  let ownContexts = new Set<string>();
  let knowsSelf = false;

  /**
   * A hello need not say who the vessel is. We asked for our own vessel only, so then the first
   * that speaks on one of our paths is it.
   */
  const isOwn = (context: string | null, updates: readonly MarineUpdate[]): boolean => {
    if (context === null || ownContexts.has(context)) return true;
    const isOnOurPaths = updates.some(({ values }) => values.some(({ path }) => byPath.has(path)));
    if (knowsSelf || !context.startsWith('vessels.') || !isOnOurPaths) return false;
    ownContexts.add(context);
    knowsSelf = true;
    return true;
  };

  /** The points of this path that listen to this source. */
  const listeners = (points: readonly PlannedPoint[], path: string, source: string) =>
    points.filter(({ point: { id, address } }) => {
      const pattern = address.via === 'marine data' ? address.sourcePattern : undefined;
      const { verdict, isFurther } = binding.bind(id, pattern, source);
      if (isFurther) log.info(`point ${id}: one more source, ${printable(source)}, on ${path}`);
      if (verdict === 'taken') return true;
      counters.refuse({ reason: verdict, pointId: id, found: printable(source) }, path);
      return false;
    });

  const takeFor = (
    planned: PlannedPoint,
    { path, value }: MarineValue,
    atMs: number,
    isRestored: boolean,
  ): void => {
    const pointId = planned.point.id;
    const measured = measure(planned, value);
    if (measured.kind === 'refused') {
      const { reason, found } = measured;
      counters.refuse({ reason, pointId, found }, path);
    } else if (measured.kind === 'silence') {
      onReading({ pointId, atMs, isSilent: true });
    } else {
      channel.readings += 1;
      const reading = { pointId, value: measured.value, atMs };
      onReading(isRestored ? { ...reading, isRestored } : reading);
    }
  };

  const takeValue = ({ source, timestampMs }: MarineUpdate, one: MarineValue): void => {
    const points = byPath.get(one.path);
    if (!points) {
      counters.unmapped(one.path);
      return;
    }
    const listening = listeners(points, one.path, source);
    if (listening.length === 0) return;
    const atMs = clock.nowMs();
    const judgement = order.judge({ source, timestampMs, ...one }, atMs);
    if (judgement === 'repeated') channel.repeated += 1;
    else if (judgement === 'older') counters.refuse({ reason: 'older than the last' }, one.path);
    else for (const planned of listening) takeFor(planned, one, atMs, judgement === 'restored');
  };

  return {
    subscribed(self, serverMs) {
      const bare = self?.replace(/^vessels\./, '');
      knowsSelf = Boolean(bare);
      ownContexts = new Set(['vessels.self', ...(bare ? [bare, `vessels.${bare}`] : [])]);
      order.subscribed(clock.nowMs(), serverMs);
    },
    take({ context, updates, refusals }) {
      if (!isOwn(context, updates)) {
        counters.refuse({ reason: 'other vessel' }, context);
        return;
      }
      for (const refusal of refusals) counters.refuse(refusal, null);
      for (const update of updates) {
        for (const value of update.values) takeValue(update, value);
      }
    },
  };
}
