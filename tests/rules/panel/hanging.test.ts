/** A board of sensors that hangs: what rests on it was not seen to rest. */
import { beforeEach, describe, expect, it } from 'vitest';
import { createWatch } from '../../../rules/index.ts';
import type { PanelState, Watch } from '../../../rules/index.ts';
import { sablePlover } from '../../simulator/demo-boats.ts';

const START_MS = Date.UTC(2026, 5, 1);
const EVERY_SECONDS = 20;
/** All that comes in the one message of the house panel's board. */
const BOARD = [...sablePlover.points.values()].filter(
  ({ address }) => address.via === 'mqtt' && address.topic === 'panel/house',
);
const FRIDGE = 'refrigerator';

/** The boat on one inlet with the refrigerator's board, step by step. */
class Board {
  readonly #watch: Watch = createWatch(sablePlover);
  readonly raised: { minute: number; id: string }[] = [];
  #seconds = 0;
  #panel: PanelState | null = null;
  #last: Record<string, number> = {};

  get minute(): number {
    return this.#seconds / 60;
  }

  /** Goes on for so long; `hangs`: which of the board's points say what they said last. */
  play(minutes: number, fridgeAmps: number, hangs: (id: string) => boolean = () => false): this {
    for (const untilSeconds = this.#seconds + minutes * 60; this.#seconds < untilSeconds;) {
      this.#seconds += EVERY_SECONDS;
      const atMs = START_MS + this.#seconds * 1000;
      const flicker = ((this.#seconds / EVERY_SECONDS) % 7) / 100;
      for (const { id, of, quantity } of BOARD) {
        const usual = quantity === 'volts' ? 120 + flicker : of === FRIDGE ? fridgeAmps : 0;
        const value = hangs(id) ? (this.#last[id] ?? usual) : usual;
        this.#last[id] = value;
        this.#watch.take({ pointId: id, value, atMs });
      }
      const { alertEvents, panel } = this.#watch.evaluate(atMs);
      this.#panel = panel;
      for (const { type, alert } of alertEvents) {
        if (type === 'raised') this.raised.push({ minute: this.minute, id: alert.id });
      }
    }
    return this;
  }

  get fridge() {
    const own = this.#panel?.circuits.find(({ id }) => id === FRIDGE);
    if (!own) throw new Error('no refrigerator');
    return own;
  }

  get orderBroken(): number[] {
    return this.raised.flatMap(({ id, minute }) =>
      id.startsWith(`standing-order.${FRIDGE}`) ? [minute] : [],
    );
  }
}

let board: Board;
beforeEach(() => {
  board = new Board().play(40, 2.2);
});

describe('a board whose live voltage stands still with all the rest', () => {
  it('hides what its circuits do', () => {
    board.play(10, 0);
    expect(board.fridge.activity).toBe('not drawing');
    board.play(8, 0, () => true);
    expect(board.fridge.activity).toBe('unknown');
    expect(board.fridge.amps.value, 'what it says is still shown').toBe(0);
    board.play(1, 0);
    expect(board.fridge.activity).toBe('not drawing');
    expect(board.fridge.activeSinceMs).toBeGreaterThan(START_MS + 58 * 60_000);
  });

  it('hides nothing while another of its points moves', () => {
    const isVolts = (id: string): boolean => id.endsWith('volts');
    board.play(10, 0).play(8, 0, isVolts);
    board.play(EVERY_SECONDS / 60, 2.2, isVolts).play(30, 0, isVolts);
    expect(board.fridge.activity).toBe('not drawing');
  });

  it('hides nothing where only a current at rest stands still', () => {
    board.play(60, 0);
    expect(board.fridge.activity).toBe('not drawing');
  });
});

describe('an order to be on', () => {
  it('is broken after three hours of rest that were seen', () => {
    board.play(190, 0);
    expect(board.orderBroken).toEqual([40 + 180 + EVERY_SECONDS / 60]);
  });

  it('is not, where the board hung for long enough to hide a run', () => {
    board
      .play(170, 0)
      .play(12, 0, () => true)
      .play(170, 0);
    expect(board.orderBroken).toEqual([]);
    board.play(20, 0);
    expect(board.orderBroken).toHaveLength(1);
  });

  it('stays broken while the board hangs', () => {
    board.play(190, 0).play(30, 0, () => true);
    expect(board.orderBroken).toHaveLength(1);
    expect(board.raised.filter(({ id }) => id.startsWith('standing-order'))).toHaveLength(1);
  });
});
