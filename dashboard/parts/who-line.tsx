/** Who is signed in here, and the way in or out. On the boat's own screen mostly nothing. */
import { useState } from 'preact/hooks';
import { isAtDoor, signOut, visitor } from '../access.ts';
import { texts } from '../texts.ts';

const words = texts.access;

function SignedIn({ name, role }: { name: string; role: string }) {
  const [problem, setProblem] = useState<string | null>(null);
  return (
    <div class="who-line">
      <span>{words.signedInAs(name, role)}</span>
      <button type="button" class="quiet" onClick={() => void signOut().then(setProblem)}>
        {words.signOut}
      </button>
      {problem !== null && (
        <span class="problem" role="alert">
          {problem}
        </span>
      )}
    </div>
  );
}

export function WhoLine() {
  const who = visitor.value;
  if (who === null || who.role === null) return null;
  if (who.person !== null) return <SignedIn name={who.person} role={words.role[who.role]} />;
  if (!who.canSignIn || who.role === 'technician') return null;
  return (
    <div class="who-line">
      {who.role === 'guest' && <span>{words.looking}</span>}
      <button
        type="button"
        class="quiet"
        onClick={() => {
          isAtDoor.value = true;
        }}
      >
        {words.signIn}
      </button>
    </div>
  );
}
