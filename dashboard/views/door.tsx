/** Where somebody signs in, and where the first person of a boat sets it up. */
import { isAtDoor, setUp, signIn, visitor } from '../access.ts';
import { mayLook } from '../models/roles.ts';
import { DoorForm } from '../parts/door-form.tsx';
import { texts } from '../texts.ts';

const words = texts.access;

function Back() {
  if (!mayLook(visitor.value)) return null;
  return (
    <button
      type="button"
      onClick={() => {
        isAtDoor.value = false;
      }}
    >
      {words.back}
    </button>
  );
}

function SignIn() {
  const { door } = words;
  return (
    <DoorForm
      heading={door.heading}
      why={door.why}
      confirm={words.signIn}
      fields={[
        { name: 'name', label: door.name, autocomplete: 'username' },
        { name: 'password', label: door.password, autocomplete: 'current-password' },
      ]}
      send={({ name = '', password = '' }) => signIn(name, password)}
      more={<Back />}
    >
      <p class="soft">{door.lost}</p>
    </DoorForm>
  );
}

function SetUp() {
  const setUpWords = words.setUp;
  return (
    <DoorForm
      heading={setUpWords.heading}
      why={setUpWords.why}
      confirm={setUpWords.confirm}
      fields={[
        {
          name: 'code',
          label: setUpWords.code,
          hint: setUpWords.codeHint,
          autocomplete: 'one-time-code',
        },
        { name: 'name', label: setUpWords.name, autocomplete: 'username' },
        {
          name: 'password',
          label: setUpWords.password,
          hint: setUpWords.passwordHint,
          autocomplete: 'new-password',
        },
      ]}
      send={({ code = '', name = '', password = '' }) => setUp(code, name, password)}
      more={<Back />}
    />
  );
}

export function DoorView() {
  return (
    <main class="door">
      <h1>{texts.product}</h1>
      {!isSecureContext && <p class="notice">{words.notSecure}</p>}
      {visitor.value?.mustSetUp === true ? <SetUp /> : <SignIn />}
      <p class="safety">{texts.safety.join(' ')}</p>
    </main>
  );
}
