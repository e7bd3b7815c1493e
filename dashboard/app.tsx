/** The frame around every view: boat, link, what feeds it, views, safety. */
import { Component, type ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { route } from './browser-route.ts';
import { isOld } from './live.ts';
import { Announcer } from './parts/announcer.tsx';
import { Foot } from './parts/foot.tsx';
import { Head } from './parts/head.tsx';
import { NameDialog } from './parts/name-dialog.tsx';
import { OpenElsewhere } from './parts/open-elsewhere.tsx';
import { SayingDialog } from './parts/saying-dialog.tsx';
import type { Route } from './route.ts';
import { texts } from './texts.ts';
import { HealthView } from './views/health.tsx';
import { NowView } from './views/now.tsx';
import { RecordView } from './views/record.tsx';
import { TrendView } from './views/trend.tsx';

/** A page that broke must not stand there looking as if all were well. */
class Guard extends Component<{ children: ComponentChildren }, { hasFailed: boolean }> {
  override state = { hasFailed: false };

  override componentDidCatch(error: unknown): void {
    console.error(error);
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

function View({ at }: { at: Route }) {
  switch (at.view) {
    case 'now':
      return <NowView />;
    case 'trend':
      return <TrendView route={at} />;
    case 'record':
      return <RecordView />;
    case 'health':
      return <HealthView />;
  }
}

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

  return (
    <div class="frame" data-old={isOld.value}>
      <button type="button" class="skip" onClick={() => main.current?.focus()}>
        {texts.skip}
      </button>
      <Guard>
        <Head />
        <main ref={main} tabIndex={-1}>
          {at.view !== 'now' && <OpenElsewhere />}
          <View at={at} />
        </main>
        <Foot view={at.view} />
        <Announcer />
        <NameDialog />
        <SayingDialog />
      </Guard>
    </div>
  );
}
