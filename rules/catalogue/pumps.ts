/** Bilge pumps and fresh-water pumps together, for one of them may explain the other. */
import type { Check } from '../alerts/check.ts';
import { bilgePump } from './bilge-pump.ts';
import { remembering } from './catalogue-rule.ts';
import { freshWaterPump } from './fresh-water-pump.ts';
import { insideLeak } from './inside-leak.ts';
import { pumpJammed } from './pump-jammed.ts';
import { pumpIn, pumpsSchema, takeAmps } from './pump-strokes.ts';
import type { Pumps } from './pump-strokes.ts';
import type { Pump } from './pump-words.ts';
import type { RuleContext } from './rule.ts';

/** Every pump whose duty the boat file says, with its newest reading counted. */
function pumpsOf({ boat, panel, nowMs }: RuleContext, pumps: Pumps): Pump[] {
  return panel.circuits.flatMap((state) => {
    const circuit = boat.parts.get(state.id);
    if (circuit?.part !== 'circuit') return [];
    if (circuit.duty !== 'bilge pump' && circuit.duty !== 'fresh water pump') return [];
    const memory = pumpIn(pumps, circuit);
    const { value, ageMs } = state.amps;
    if (value !== null) takeAmps(memory, boat, circuit, value, nowMs - (ageMs ?? 0));
    return [{ circuit, state, memory }];
  });
}

export const pumps = remembering<Pumps>({
  name: 'pumps',
  fresh: () => ({}),
  isSound: (saved): saved is Pumps => pumpsSchema.safeParse(saved).success,
  checks(context, memory): Check[] {
    const all = pumpsOf(context, memory);
    const bilges = all.filter((own) => own.circuit.duty === 'bilge pump');
    const freshes = all.filter((own) => own.circuit.duty === 'fresh water pump');
    return [
      ...freshes.map((own) => insideLeak(context, own, bilges)),
      ...freshes.flatMap((own) => freshWaterPump(context, own)),
      ...bilges.flatMap((own) => bilgePump(context, own)),
      ...all.map((own) => pumpJammed(context, own)),
    ];
  },
});
