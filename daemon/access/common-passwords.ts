/**
 * The passwords that are tried first. The list is that of `@zxcvbn-ts/language-common` (MIT): some
 * 49,000 of leaked passwords, most common first, 18,000 of them as long as ours must be, which is
 * more than the 3,000 that OWASP ASVS 5.0 6.2.4 asks for. It is read when a password is set, never
 * at start. That list leaves out what its own library finds by patterns: repetitions and runs are
 * found here too, and OURS has the rest that we know of, from memory, and what suggests itself aboard.
 */

const OURS: ReadonlySet<string> = new Set(
  `
  p@ssword pa$$word 0987654321 12341234 123412341234 121212121 aa12345678 zaq1zaq1 zxcvbnm,
  qwertz123 qwertzuiop iloveu123 jessica123 hannah123 martin123 lauren123 taylor123 admin1234
  admin12345 adminadmin administrador root1234 rootroot toor1234 changeme123 default123 guest123
  guestguest test12345 login123 loginlogin user1234 useruser windows7 windows10 facebook1 linkedin
  linkedin1 youtube1 chelsea123 barcelona1 eagles123 cheese123 banana123 tigger123 bailey123
  coffee123 summer123 summer2020 summer2021 summer2022 summer2023 summer2024 summer2025 winter123
  winter2020 winter2021 winter2022 winter2023 winter2024 winter2025 spring2024 spring2025
  autumn2024 autumn2025 monday123 friday123 yamaha123 suzuki123 harley123 harleydavidson angels123
  heaven123 christ123 freedom123 brasil123 mexico123 schatz123 hallo1234 hallohallo passwort123
  geheim123 sommer123 bonjour123 soleil123 loulou123 doudou123 contraseña teamomucho corazon1
  senha1234 benfica1 pass12345 pass123456 p@ssw0rd1 p@ssw0rd123 thepassword mypass123 oldpassword
  password1q qwerty!1 xyz12345 poiuytrewq poiuytre lkjhgfdsa 01230123 159357159 19871987 19901990
  19851985 20212021 20222022 20232023 20242024 20252025 raspberrypi raspberry1 pi123456
  raspberrypi4 boat1234 boatboat sailor123 captain123 skipper123 anchor123 yacht123 seadream
  ahoymate ahoyahoy fishing123 ocean123 panelward panelward1 panelward123 electrician electricity
  shorepower starboard portside
  `
    .trim()
    .split(/\s+/),
);

let listed: ReadonlySet<string> | null = null;

/** Those of the list, whatever their length; read once, about 14 MB. */
export async function listedPasswords(): Promise<ReadonlySet<string>> {
  if (listed === null) {
    const { dictionary } = await import('@zxcvbn-ts/language-common');
    listed = new Set(dictionary['passwords-common']);
  }
  return listed;
}

/**
 * Whether it is one of them, in capitals or small letters, one of them with signs at its end, up to
 * three characters over and over, or a run such as 23456789.
 */
export async function isCommonPassword(password: string): Promise<boolean> {
  const small = password.toLowerCase();
  const plain = small.replace(/[!.?*#$]+$/, '');
  if (isRepetition(plain) || isRun(plain) || OURS.has(small) || OURS.has(plain)) return true;
  const list = await listedPasswords();
  return list.has(small) || list.has(plain);
}

const isRepetition = (text: string): boolean => /^(.{1,3})\1+$/u.test(text);

/** Every character the next one, or the one before, of its alphabet. */
function isRun(text: string): boolean {
  const codes = Array.from(text, (character) => character.codePointAt(0) ?? 0);
  const steps = codes.slice(1).map((code, index) => code - (codes[index] ?? 0));
  return (
    steps.length > 0 && (steps.every((step) => step === 1) || steps.every((step) => step === -1))
  );
}
