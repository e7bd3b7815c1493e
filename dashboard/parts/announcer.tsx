/** Says aloud what happens to alerts, for those who do not see it. */
import { announcements } from '../live.ts';

export function Announcer() {
  const said = announcements.value;
  return (
    <div class="for-ears">
      <div aria-live="assertive">
        {said.flatMap(({ key, text, isUrgent }) => (isUrgent ? <p key={key}>{text}</p> : []))}
      </div>
      <div aria-live="polite">
        {said.flatMap(({ key, text, isUrgent }) => (isUrgent ? [] : <p key={key}>{text}</p>))}
      </div>
    </div>
  );
}
