/** The load plan over real HTTP, worked out by the rules on a real panel. */
import { expect, it } from 'vitest';
import { errorAnswerSchema, loadPlanSchema } from '../../../daemon/api/contract.ts';
import { loadPlan } from '../../../rules/index.ts';
import { loadDemo, observe } from '../../rules/why-dead/positions-truth.ts';
import { ask, started } from './fixtures.ts';

const PATH = '/api/v1/load-plan';

it('gives what the rules work out, and waits for the first panel', async () => {
  const { api, daemon } = await started();
  const boat = loadDemo('sable-plover');
  const positions = new Map([
    ['shore-selector', 'BOW'],
    ['supply-selector', 'SHORE'],
    ['house-selector', 'SUPPLY'],
    ['climate-main', 'closed'],
    ['house-main', 'closed'],
    ['dc-main', 'closed'],
  ]);
  const panel = observe(boat, { positions, live: new Set(['bow-inlet', 'house-bank']) });
  const plan = loadPlan(boat, panel);
  daemon.loadPlan = () => plan;
  const { status, text } = await ask(api, PATH);
  expect(status).toBe(200);
  expect(loadPlanSchema.parse(JSON.parse(text))).toEqual(plan);
  expect(plan.rooms.map(({ source }) => source)).toEqual(['bow-inlet']);
  daemon.loadPlan = () => null;
  const early = await ask(api, PATH);
  expect(early.status).toBe(503);
  expect(errorAnswerSchema.parse(JSON.parse(early.text)).error.message).toMatch(/not been worked/);
});

it('refuses a question that it does not know', async () => {
  const { api } = await started();
  const { status, text } = await ask(api, `${PATH}?leg=L1`);
  expect(status).toBe(400);
  expect(errorAnswerSchema.parse(JSON.parse(text)).error.message).not.toBe('');
});
