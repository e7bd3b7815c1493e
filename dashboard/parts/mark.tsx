/**
 * Signs that tell by shape what colour only repeats. Colours follow the meanings of IEC 60073: red
 * danger, yellow abnormal, blue a person must act; the shapes are the page's own.
 */
import type { Priority } from '../../daemon/api/contract.ts';

const SHAPES: Record<Priority, string> = {
  // Diamond with a cut, triangle, disc, small ring: the heavier the shape, the more urgent.
  'emergency alarm': 'M12 1 23 12 12 23 1 12ZM10.5 6v7h3V6Zm0 9v3h3v-3Z',
  alarm: 'M12 2 23 21H1ZM10.7 9v6h2.6V9Zm0 7.4V19h2.6v-2.6Z',
  warning: 'M12 3a9 9 0 1 0 .01 0ZM6.5 10.6h11v2.8h-11Z',
  caution: 'M12 5a7 7 0 1 0 .01 0ZM12 8a4 4 0 1 1-.01 0Z',
};

/** The shape of a priority; the word always stands beside it, so it is hidden from screen readers. */
export function PriorityMark({ priority }: { priority: Priority }) {
  return (
    <svg class="mark" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      <path d={SHAPES[priority]} fill-rule="evenodd" />
    </svg>
  );
}

/** Something that nobody can tell. */
export function UnknownMark() {
  return (
    <svg class="mark mark-unknown" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      <rect x="2" y="2" width="20" height="20" rx="2" />
      <path d="M8.4 9.2a3.7 3.7 0 1 1 5.4 3.3c-1.2.7-1.7 1.2-1.7 2.4" />
      <circle cx="12.1" cy="18" r=".6" />
    </svg>
  );
}
