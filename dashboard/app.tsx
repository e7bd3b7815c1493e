/** The frame around every view: boat, link, what feeds it, views, safety. */
import { Component, type ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { isAtDoor, visitor } from './access.ts';
import { route } from './browser-route.ts';
import { forgetLastKnown } from './last-known.ts';
import { isOld } from './live.ts';
import { mayLook } from './models/roles.ts';
import { Announcer } from './parts/announcer.tsx';
import { DoorSlot } from './parts/door-slot.tsx';
import { Foot } from './parts/foot.tsx';
import { Head } from './parts/head.tsx';
import { NameDialog } from './parts/name-dialog.tsx';
import { OpenElsewhere } from './parts/open-elsewhere.tsx';
import { PasswordDialog } from './parts/password-dialog.tsx';
import { SayingDialog } from './parts/saying-dialog.tsx';
import { ViewSlot } from './parts/view-slot.tsx';
import type { ViewName } from './route.ts';
import { texts } from './texts.ts';

/** A page that broke must not stand there looking as if all were well. */
class Guard extends Component<{ children: ComponentChildren }, { hasFailed: boolean }> {
  override state = { hasFailed: false };

  override componentDidCatch(error: unknown): void {
    console.error(error);
    forgetLastKnown();
    this.setState({ hasFailed: true });
  }

  override render() {
    if (!this.state.hasFailed) return this.props.children;
    return (
      <div class="failed" role="alert">
        <p>{texts.pageFailed}</p>
        <button type="button" onClick={() => location.reload()}>
          {texts.link.reload}
        </button>
      </div>
    );
  }
}

/** These views show the open alerts themselves. */
const SHOWS_ALERTS: ReadonlySet<ViewName> = new Set(['now', 'alerts', 'guest']);

export function App() {
  const at = route.value;
  const main = useRef<HTMLElement>(null);
  const shown = useRef(at.view);

  // A change of view moves the focus to it, as a page load would.
  useEffect(() => {
    if (shown.current === at.view) return;
    shown.current = at.view;
    scrollTo(0, 0);
    main.current?.focus({ preventScroll: true });
  }, [at.view]);

  if (isAtDoor.value || !mayLook(visitor.value)) {
    return (
      <div class="frame">
        <Guard>
          <DoorSlot />
        </Guard>
      </div>
    );
  }
  return (
    <div class="frame" data-old={isOld.value}>
      <button type="button" class="skip" onClick={() => main.current?.focus()}>
        {texts.skip}
      </button>
      <Guard>
        <Head />
        <main ref={main} tabIndex={-1}>
          {!SHOWS_ALERTS.has(at.view) && <OpenElsewhere />}
          <ViewSlot at={at} />
        </main>
        <Foot view={at.view} />
        <Announcer />
        <NameDialog />
        <SayingDialog />
        <PasswordDialog />
      </Guard>
    </div>
  );
}
