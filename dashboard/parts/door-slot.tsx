/** Shows the door once it is loaded: most pages never need it. */
import { signal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect } from 'preact/hooks';
import { texts } from '../texts.ts';
import { LoadFailed } from './load-failed.tsx';

const drawn = signal<(() => ComponentChildren) | null>(null);
const hasFailed = signal(false);

async function load(): Promise<void> {
  try {
    const { DoorView } = await import('../views/door.tsx');
    drawn.value = () => <DoorView />;
  } catch (error) {
    console.error(error);
    hasFailed.value = true;
  }
}

export function DoorSlot() {
  useEffect(() => void load(), []);
  if (drawn.value !== null) return <>{drawn.value()}</>;
  if (!hasFailed.value) return <p class="soft">{texts.loading}</p>;
  return <LoadFailed />;
}
