/** `panelward tls`: the certificates of the page, and how a phone comes to trust them. */
import { makeTls } from './access/tls-making.ts';

export interface TlsSurroundings {
  folder: string;
  /** How the boat's computer is called, and its addresses. */
  ownNames: readonly string[];
  /** UTC. */
  nowMs: number;
  say: (line: string) => void;
  complain: (line: string) => void;
}

/** Gives the exit code. */
export async function runTls(
  { names, isAnew }: { names: readonly string[]; isAnew: boolean },
  { folder, ownNames, nowMs, say, complain }: TlsSurroundings,
): Promise<number> {
  const all = [...new Set([...names, ...ownNames].map((name) => name.toLowerCase()))];
  const made = await makeTls(folder, { boat: all[0] ?? 'boat', names: all, nowMs, isAnew });
  if ('problem' in made) {
    complain(made.problem);
    return 1;
  }
  say(`The page has a certificate until ${new Date(made.endsAtMs).toISOString().slice(0, 10)} for`);
  say(`  ${made.names.join(', ')}`);
  say(`  SHA-256 ${made.fingerprint}`);
  say('Start panelward again so that it uses it.');
  if (!made.isAuthorityNew) {
    say("It is by the boat's authority that was there; phones that know that need nothing.");
    return 0;
  }
  say('');
  say(
    "The boat's own authority is new. Install this file on each phone, tablet and laptop aboard:",
  );
  say(`  ${made.authorityFile}`);
  say(`  SHA-256 ${made.authorityFingerprint}`);
  for (const line of INSTALLING) say(line);
  return 0;
}

const INSTALLING = [
  'Carry it over by cable, memory stick or mail (it is no secret; the .key files beside it are), and',
  'compare the SHA-256 above with what the phone shows.',
  '  Android: Settings, search for "CA certificate", install from storage.',
  '  iPhone, iPad: open the file; Settings, Profile downloaded, Install; then Settings, General,',
  '    About, Certificate Trust Settings, switch it on.',
  '  Windows, macOS, Linux: open the file and put it with the trusted root authorities.',
  'It can vouch for the boat only: for her own networks and the names above, never for another site.',
];
