/** "Why is this dead?" over real HTTP, answered by the rules on a real panel. */
import { expect, it } from 'vitest';
import { errorAnswerSchema, whyDeadSchema } from '../../../daemon/api/contract.ts';
import { whyDead } from '../../../rules/index.ts';
import { loadDemo, observe } from '../../rules/why-dead/positions-truth.ts';
import { ask, started } from './fixtures.ts';

const PATH = '/api/v1/parts';

it('gives what the rules say of a bus and of a circuit', async () => {
  const { api, daemon } = await started();
  const boat = loadDemo('sable-plover');
  const panel = observe(boat, { positions: new Map([['dc-main', 'closed']]), live: new Set() });
  daemon.nowPanel = panel;
  daemon.whyDead = (part) => whyDead(boat, panel, part);
  for (const id of ['house-bus', 'dc-bus', 'water-heater', 'trash-press']) {
    const { status, text } = await ask(api, `${PATH}/${id}/why-dead`);
    expect(status).toBe(200);
    expect(whyDeadSchema.parse(JSON.parse(text))).toEqual(whyDead(boat, panel, id));
  }
});

it('refuses what is no bus and no circuit, and waits for the first panel', async () => {
  const { api, daemon } = await started();
  const unknown = await ask(api, `${PATH}/bow-inlet/why-dead`);
  expect(unknown.status).toBe(404);
  const { error } = errorAnswerSchema.parse(JSON.parse(unknown.text));
  expect(error.message).toMatch(/no bus or circuit/);
  expect(error.found).toBe('bow-inlet');
  daemon.nowPanel = null;
  expect((await ask(api, `${PATH}/house-bus/why-dead`)).status).toBe(503);
});
