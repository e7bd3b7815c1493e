/** In place of a part of the page that could not be loaded: says so, and offers to try again. */
import { texts } from '../texts.ts';

export function LoadFailed() {
  return (
    <div class="failed" role="alert">
      <p>{texts.viewFailed}</p>
      <button type="button" onClick={() => location.reload()}>
        {texts.link.reload}
      </button>
    </div>
  );
}
