/** Palette, clock and degrees of this screen: a button, and the choices over the page. */
import { useRef } from 'preact/hooks';
import { hourText } from '../format.ts';
import { DEFAULTS, HOURS, type Preferences } from '../models/preferences.ts';
import { preferences } from '../preferences.ts';
import { prefer } from '../screen.ts';
import { texts } from '../texts.ts';
import { Choices, type Choice } from './choices.tsx';

const words = texts.display;

function paletteChoices(): Choice[] {
  const [morning = '', day = '', dusk = '', night = ''] = HOURS.map(([hour]) => hourText(hour));
  const { palettes, about } = words;
  return [
    { value: 'device', label: palettes.device, about: about.device },
    { value: 'day', label: palettes.day },
    { value: 'dusk', label: palettes.dusk },
    { value: 'night', label: palettes.night, about: about.night },
    {
      value: 'clock',
      label: palettes.clock,
      about: about.clock(day, dusk, night, morning),
    },
  ];
}

function choicesOf<Value extends string>(labels: Readonly<Record<Value, string>>): Choice[] {
  return Object.entries<string>(labels).map(([value, label]) => ({ value, label }));
}

function isKey(name: string): name is keyof Preferences {
  return name in DEFAULTS;
}

export function DisplayDialog() {
  const dialog = useRef<HTMLDialogElement>(null);
  const chosen = preferences.value;
  const take = (event: Event) => {
    const { target } = event;
    if (target instanceof HTMLInputElement && isKey(target.name)) {
      prefer({ [target.name]: target.value });
    }
  };
  return (
    <>
      <button type="button" class="quiet display" onClick={() => dialog.current?.showModal()}>
        {words.open}
      </button>
      <dialog ref={dialog} class="naming" aria-labelledby="display-heading">
        <form method="dialog" onChange={take}>
          <h2 id="display-heading">{words.heading}</h2>
          <h3 aria-hidden="true">{words.palette}</h3>
          <Choices
            name="palette"
            legend={words.palette}
            choices={paletteChoices()}
            chosen={chosen.palette}
          />
          <h3 aria-hidden="true">{words.clock}</h3>
          <Choices
            name="clock"
            legend={words.clock}
            choices={choicesOf(words.clocks)}
            chosen={chosen.clock}
          />
          <h3 aria-hidden="true">{words.degrees}</h3>
          <Choices
            name="degrees"
            legend={words.degrees}
            choices={choicesOf(words.scales)}
            chosen={chosen.degrees}
          />
          <p class="soft">{words.kept}</p>
          <button type="submit">{words.close}</button>
        </form>
      </dialog>
    </>
  );
}
