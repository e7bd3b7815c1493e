/**
 * The passwords of eight characters and more that are tried first. Written from memory of the
 * published lists of leaked passwords (the yearly "worst passwords" lists, the 10,000 most common
 * of SecLists) and not copied from a file; the last lines are what suggests itself aboard. It is
 * shorter than the list of 3,000 that OWASP ASVS 5.0 6.2.4 names: the throttle has to do the rest.
 */
const COMMON: ReadonlySet<string> = new Set(
  `
  password password1 password12 password123 password1234 passw0rd p@ssw0rd p@ssword pa$$word
  passwort 12345678 123456789 1234567890 123123123 11111111 111111111 1111111111 00000000
  000000000 0000000000 87654321 987654321 0987654321 9876543210 12341234 123412341234 11223344
  1122334455 112233445566 12344321 1234554321 12121212 121212121 22222222 33333333 44444444
  55555555 66666666 77777777 88888888 99999999 999999999 12345679 123456780 1234567891
  12345678910 123456789a a123456789 abc123456 123456abc abcd1234 1234abcd a1b2c3d4 aa123456
  aa12345678 q1w2e3r4 q1w2e3r4t5 q1w2e3r4t5y6 1q2w3e4r 1q2w3e4r5t 1q2w3e4r5t6y 1qaz2wsx
  1qaz2wsx3edc qazwsxedc qazwsx123 zaq12wsx zaq1zaq1 1qazxsw2 qwertyui qwertyuiop qwerty12
  qwerty123 qwerty1234 qwerty12345 qwerty123456 123qweasd 123qwe123 qweasdzxc qwe123qwe
  qweqweqwe asdfghjk asdfghjkl asdf1234 asdfasdf asdasdasd zxcvbnm1 zxcvbnm123 zxcvbnm,
  qwer1234 1234qwer azertyuiop azerty123 qwertz123 qwertzuiop iloveyou iloveyou1 iloveyou2
  iloveyou123 iloveu123 ilovegod iloveme1 lovelove loveyou1 sunshine sunshine1 princess
  princess1 football football1 baseball baseball1 basketball superman superman1 batman123
  spiderman starwars starwars1 pokemon1 pokemon123 dragon123 dragonball monkey123 monkey12
  shadow12 shadow123 master123 mustang1 michael1 michelle jennifer jessica1 jessica123 jordan23
  jordan123 charlie1 charlie123 daniel123 daniel12 andrew123 anthony1 matthew1 nicholas
  benjamin brandon1 christopher christian victoria elizabeth samantha stephanie patricia
  isabella alexander alexandra alexandre alejandro fernando francisco gabriela mercedes
  caroline katherine veronica valentina valentin sebastian jonathan nathaniel madison1
  hannah123 ashley123 amanda123 thomas123 martin123 robert123 william1 richard1 lauren123
  nicole123 taylor123 trustno1 letmein1 letmein123 letmein! welcome1 welcome12 welcome123
  welcome2 welcome! admin123 admin1234 admin12345 adminadmin administrator administrador
  root1234 rootroot toor1234 changeme changeme1 changeme123 default1 default123 guest123
  guestguest test1234 test12345 testtest testing1 testing123 temp1234 temppass secret123
  secret12 mysecret login123 loginlogin user1234 useruser support1 service1 access14 access123
  computer computer1 internet internet1 network1 windows1 windows7 windows10 microsoft samsung1
  samsung123 google123 facebook facebook1 linkedin linkedin1 youtube1 blink182 metallica
  metallica1 slipknot nirvana1 liverpool liverpool1 chelsea1 chelsea123 arsenal1 arsenal123
  manchester barcelona barcelona1 juventus realmadrid yankees1 cowboys1 steelers lakers24
  redskins eagles123 packers1 hockey123 soccer123 soccer12 babygirl babygirl1 butterfly
  butterfly1 chocolate chocolate1 cookie123 cheese123 banana123 pepper123 ginger123 buster123
  tigger123 maggie123 bailey123 coffee123 summer123 summer2020 summer2021 summer2022 summer2023
  summer2024 summer2025 winter123 winter2020 winter2021 winter2022 winter2023 winter2024
  winter2025 spring2024 spring2025 autumn2024 autumn2025 january1 february december november1
  september october1 monday123 friday123 whatever whatever1 blahblah nothing1 something
  anything fuckyou1 fuckyou2 fuckyou123 fuckoff1 asshole1 bullshit corvette mercedes1 ferrari1
  porsche1 yamaha123 kawasaki suzuki123 harley123 harleydavidson diamonds diamond1 crystal1
  rainbow1 rainbows unicorn1 unicorns angel123 angels123 heaven123 jesus123 jesus777
  jesuschrist blessed1 blessing godisgood christ123 faith123 freedom1 freedom123 america1
  american australia argentina brasil123 colombia mexico123 germany1 deutschland schatz123
  hallo123 hallo1234 hallohallo passwort1 passwort123 geheim123 sommer123 schalke04 bonjour1
  bonjour123 soleil123 loulou123 doudou123 motdepasse chouchou marseille contrasena contraseña
  estrella mariposa tequiero teamomucho corazon1 senha123 senha1234 benfica1 password!
  password1! password2 password3 password01 password99 password00 passpass pass1234 pass12345
  pass123456 passport passw0rd1 passw0rd! p@ssw0rd1 p@ssw0rd123 p4ssw0rd p455w0rd drowssap
  1password thepassword mypassword mypass123 newpassword newpass1 oldpassword nopassword
  password1q qwerty!1 qwerty1! abcdefgh abcdefg1 abcdefghi abcdefghij abcabcabc abc12345
  abc123abc abc123456789 xyz12345 aaaaaaaa aaaaaaaaa zzzzzzzz xxxxxxxx qqqqqqqq asdfqwer
  poiuytrewq poiuytre lkjhgfdsa mnbvcxz1 0123456789 01234567 01230123 10203040 102030405060
  147258369 147852369 159753456 159357159 789456123 789456123a 741852963 963852741 321654987
  456789123 123654789 123789456 123321123 321321321 789789789 456456456 147147147 258258258
  369369369 135792468 24681012 246813579 13579246 19871987 19901990 19851985 20202020 20212021
  20222022 20232023 20242024 20252025 raspberry raspberrypi raspberry1 pi123456 raspberrypi4
  boat1234 boatboat sailboat sailing1 sailor123 captain1 captain123 skipper1 skipper123
  nautical anchor123 yacht123 marina123 seadream ahoymate ahoyahoy fishing1 fishing123
  fisherman ocean123 panelward panelward1 panelward123 electric electrician electricity
  shorepower starboard portside
  `
    .trim()
    .split(/\s+/),
);

/** How many there are. */
export const COMMON_PASSWORDS = COMMON.size;

/** Whether it is one of them, in capitals or small letters, or one of them with signs at its end. */
export function isCommonPassword(password: string): boolean {
  const plain = password.toLowerCase();
  return COMMON.has(plain) || COMMON.has(plain.replace(/[!.?*#$]+$/, ''));
}
