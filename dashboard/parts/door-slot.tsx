/** Shows the door once it is loaded: most pages never need it. */
import { signal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect } from 'preact/hooks';
import { texts } from '../texts.ts';

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
  return (
    <div class="failed" role="alert">
      <p>{texts.viewFailed}</p>
      <button type="button" onClick={() => location.reload()}>
        {texts.link.reload}
      </button>
    </div>
  );
}
