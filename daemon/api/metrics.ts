/** What a monitoring system may scrape: the daemon's own counts, as OpenMetrics text. */
import { Counter, Gauge, Histogram, type OpenMetricsContentType, Registry } from 'prom-client';
import { PRIORITIES } from '../../rules/alerts/alert.ts';
import type { HealthAnswer } from './contract.ts';
import type { ApiParts } from './parts.ts';

export interface Metrics {
  contentType: string;
  /** The whole text, as of now. */
  text(): Promise<string>;
  stop(): void;
}

/** `connections` tells the open HTTP connections, `streams` how many of them are live streams. */
export function startMetrics(
  parts: ApiParts,
  connections: () => Promise<number>,
  streams: () => number,
): Metrics {
  const registry = new Registry<OpenMetricsContentType>();
  registry.setContentType(Registry.OPENMETRICS_CONTENT_TYPE);
  const registers = [registry];
  const evaluations = new Histogram({
    name: 'panelward_evaluation_seconds',
    help: 'Real time that one evaluation of all rules took.',
    buckets: [0.0005, 0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1],
    registers,
  });
  const events = new Counter({
    name: 'panelward_alert_events',
    help: 'Alert events since start, by kind and by the priority of the alert.',
    labelNames: ['type', 'priority'],
    registers,
  });
  const open = new Gauge({
    name: 'panelward_alerts_open',
    help: 'Alerts that are not closed.',
    labelNames: ['priority'],
    registers,
  });
  const health = healthMetrics(registry);
  const http = new Gauge({
    name: 'panelward_http_connections',
    help: 'Open HTTP connections.',
    registers,
  });
  const live = new Gauge({
    name: 'panelward_live_streams',
    help: 'Pages that listen to the live stream.',
    registers,
  });
  const stop = parts.onUpdate(({ alertEvents, tookMs }) => {
    if (tookMs !== null) evaluations.observe(tookMs / 1000);
    for (const { type, alert } of alertEvents) events.inc({ type, priority: alert.priority });
  });
  return {
    contentType: registry.contentType,
    stop,
    async text() {
      const alerts = parts.openAlerts();
      for (const priority of PRIORITIES) {
        open.set({ priority }, alerts.filter((alert) => alert.priority === priority).length);
      }
      health(parts.health());
      http.set(await connections());
      live.set(streams());
      return registry.metrics();
    },
  };
}

/** Counts that others keep; each scrape sets them to what they are now. */
function healthMetrics(registry: Registry<OpenMetricsContentType>) {
  const registers = [registry];
  const counter = <Label extends string>(name: string, help: string, labelNames: Label[] = []) =>
    new Counter<Label>({ name: `panelward_${name}`, help, labelNames, registers });
  const gauge = (name: string, help: string) =>
    new Gauge({ name: `panelward_${name}`, help, registers });
  const readings = counter('readings', 'Readings taken, by the way they came.', ['via']);
  const messages = counter('messages', 'Messages and frames received, by their way.', ['via']);
  const refused = counter('refused', 'Messages refused, by reason.', ['reason']);
  const degraded = gauge('degraded', '1 while the daemon is in trouble, else 0.');
  const evaluated = gauge('last_evaluation_timestamp_seconds', 'When the rules ran last.');
  const writable = gauge('store_writable', '1 while the disk takes writes, else 0.');
  const bytes = gauge('store_bytes', 'Size of both files of the store with their logs.');
  const buffered = gauge('readings_buffered', 'Readings that wait for the disk.');
  const stored = counter('readings_stored', 'Readings written to the disk.');
  const lost = counter('readings_lost', 'Readings that no disk will ever see.');

  const freeBytes = gauge('disk_free_bytes', 'Room on the file system of the store.');
  const setAside = gauge('store_files_set_aside', 'Broken files that were set aside.');
  const flushed = gauge('last_flush_timestamp_seconds', 'When readings were written last.');
  const trusted = gauge('clock_trusted', '1 while a time server vouches for UTC, else 0.');
  const offset = gauge('clock_utc_offset_seconds', "UTC minus the daemon's own clock.");

  const setTo = (metric: Counter, value: number): void => {
    metric.reset();
    metric.inc(value);
  };
  return ({ status, intake, store, clock, evaluation }: HealthAnswer): void => {
    readings.reset();
    messages.reset();
    refused.reset();
    readings.inc({ via: 'mqtt' }, intake.mqtt.readings);
    messages.inc({ via: 'mqtt' }, intake.mqtt.messages);
    if (intake.marineData !== null) {
      readings.inc({ via: 'marine data' }, intake.marineData.readings);
      messages.inc({ via: 'marine data' }, intake.marineData.frames);
    }
    for (const { reason, count } of intake.refused) refused.inc({ reason }, count);
    degraded.set(status === 'ok' ? 0 : 1);
    if (evaluation.lastAtMs !== null) evaluated.set(evaluation.lastAtMs / 1000);
    writable.set(store.isWritable ? 1 : 0);
    bytes.set(store.bytes);
    buffered.set(store.readingsBuffered);
    setTo(stored, store.readingsStored);
    setTo(lost, store.readingsLost);
    if (store.freeBytes !== null) freeBytes.set(store.freeBytes);
    setAside.set(store.filesSetAside);
    if (store.lastFlushAtMs !== null) flushed.set(store.lastFlushAtMs / 1000);
    trusted.set(clock.quality === 'unverified' ? 0 : 1);
    offset.set(clock.utcOffsetMs / 1000);
  };
}
