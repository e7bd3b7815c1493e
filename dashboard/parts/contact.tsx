/** A switch drawn by the position of its contact, after the manner of circuit diagrams (IEC 60617). */
import type { MainSwitchState } from '../../daemon/api/contract.ts';

const BLADES: Record<MainSwitchState['position'], string> = {
  closed: 'M12 16H36',
  open: 'M12 16 33 5',
  // The cross on the fixed contact tells a breaker that let go by itself from one that was opened.
  tripped: 'M12 16 33 5M32 12l8 8M40 12l-8 8',
  unknown: 'M12 16 34 11M12 16H36',
};

export function Contact({ position }: { position: MainSwitchState['position'] }) {
  return (
    <svg
      class="contact"
      data-position={position}
      viewBox="0 0 48 24"
      aria-hidden="true"
      focusable="false"
    >
      <path d="M0 16H12M36 16H48" />
      <path class="contact-blade" d={BLADES[position]} />
      <circle cx="12" cy="16" r="2" />
      <circle cx="36" cy="16" r="2" />
    </svg>
  );
}
