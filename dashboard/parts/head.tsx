/** Which boat, how fresh, and in one sentence what feeds it. */
import { boat, isOld, isOutdated, link, panel, rememberedFromMs, trouble } from '../live.ts';
import { ageText, clockText } from '../format.ts';
import { feedingSentence } from '../models/feeding.ts';
import { texts } from '../texts.ts';
import { DisplayDialog } from './display-dialog.tsx';
import { UnknownMark } from './mark.tsx';
import { ModeLine } from './mode-line.tsx';
import { WhoLine } from './who-line.tsx';

const words = texts.link;

/** Its age goes on by this screen's own clock: there is no other while the boat is out of reach. */
function Remembered() {
  const nowMs = Date.now();
  // Read so that this is written anew with every tick.
  void link.value.agoMs;
  const fromMs = rememberedFromMs.value ?? nowMs;
  return <>{words.remembered(clockText(fromMs, nowMs), ageText(nowMs - fromMs))}</>;
}

function LinkState() {
  const { state, agoMs } = link.value;
  const age = ageText(agoMs);
  switch (state) {
    case 'connecting':
      return <>{words.connecting}</>;
    case 'live':
      return <>{agoMs === 0 ? words.live : words.heard(age)}</>;
    case 'asking':
      return <>{words.asking}</>;
    case 'lost':
      return <>{words.lost(age)}</>;
    case 'never':
      return <>{words.never(age)}</>;
    case 'remembered':
      return <Remembered />;
  }
}

/** Says so, all over the width, while nothing shown can be relied on. */
function LinkLine() {
  const { state } = link.value;
  return (
    <p class="link" data-link={state}>
      {isOld.value && <UnknownMark />}
      <span class="link-text">
        <LinkState />
      </span>
    </p>
  );
}

function DemoMark() {
  const about = boat.value;
  if (about === null || !about.isDemo) return null;
  const more: string[] = [];
  if (about.scenario !== null) more.push(texts.demo.scenario(about.scenario.replaceAll('-', ' ')));
  if (about.speed !== 1) more.push(texts.demo.speed(about.speed));
  return <p class="demo">{[texts.demo.label, ...more].join(', ')}</p>;
}

function Notices() {
  return (
    <>
      {trouble.value !== null && <p class="notice">{trouble.value}</p>}
      {isOutdated.value && (
        <p class="notice">
          {words.updated}{' '}
          <button type="button" onClick={() => location.reload()}>
            {words.reload}
          </button>
        </p>
      )}
    </>
  );
}

export function Head() {
  const state = panel.value;
  const name = boat.value?.name ?? state?.boat ?? texts.product;
  return (
    <header>
      <div class="head-line">
        <h1>{name}</h1>
        <DemoMark />
        <LinkLine />
        <DisplayDialog />
      </div>
      <Notices />
      <p class="feeding">{state === null ? texts.waiting : feedingSentence(state)}</p>
      {state !== null && <ModeLine state={state} />}
      <WhoLine />
    </header>
  );
}
