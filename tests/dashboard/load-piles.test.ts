import { expect, it } from 'vitest';
import type { LoadAnswer, LoadPlan } from '../../daemon/api/contract.ts';
import { pilesOf } from '../../dashboard/models/load-piles.ts';

const answer = (label: string, more: Partial<LoadAnswer> = {}): LoadAnswer => ({
  circuit: label.toLowerCase(),
  appliance: null,
  label,
  legs: ['L1'],
  amps: 5,
  from: 'boat file',
  startAmps: 5,
  source: 'inlet',
  verdict: 'fits',
  ifOff: [],
  first: [],
  because: '',
  ...more,
});

const planOf = (answers: LoadAnswer[], reservedFor: string[] = []): LoadPlan => ({
  atMs: 0,
  rooms: [{ source: 'inlet', legs: [], reservedFor }],
  answers,
});

it('sorts by verdict, and puts what cannot be judged or used into the rest', () => {
  const verdicts = [
    'fits',
    'fits if off',
    'does not fit',
    'stays off',
    'no voltage',
    'not known',
  ] as const;
  const piles = pilesOf(planOf(verdicts.map((verdict) => answer(verdict, { verdict }))));
  expect([...piles].map(([pile, own]) => [pile, own.map(({ label }) => label)])).toEqual([
    ['fits', ['fits']],
    ['fits if off', ['fits if off']],
    ['does not fit', ['does not fit']],
    ['other', ['stays off', 'no voltage', 'not known']],
  ]);
});

it('puts what people plug in before circuits', () => {
  const kettle = answer('Kettle', { circuit: 'outlets', appliance: 'Kettle' });
  const fits = pilesOf(planOf([answer('Heater'), kettle])).get('fits');
  expect(fits?.map(({ label }) => label)).toEqual(['Kettle', 'Heater']);
});

it('leaves out what fits because room is kept for it, and nothing else', () => {
  const answers = [
    answer('Heater'),
    answer('Cooler', { verdict: 'does not fit' }),
    answer('Kettle', { circuit: 'heater', appliance: 'Kettle' }),
  ];
  const piles = pilesOf(planOf(answers, ['heater', 'cooler']));
  expect(piles.get('fits')?.map(({ label }) => label)).toEqual(['Kettle']);
  expect(piles.get('does not fit')?.map(({ label }) => label)).toEqual(['Cooler']);
});
