/** The reasons behind a conclusion, folded away until somebody asks. */
import { texts } from '../texts.ts';

export function Why({ because, label }: { because: readonly string[]; label: string }) {
  if (because.length === 0) return null;
  return (
    <details class="why">
      <summary>
        {texts.panel.why}
        <span class="for-ears"> {label}</span>
      </summary>
      <ul>
        {because.map((reason) => (
          <li key={reason}>{reason}</li>
        ))}
      </ul>
    </details>
  );
}
