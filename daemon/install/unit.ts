/**
 * The systemd unit that runs panelward: started at boot and again whenever it ends or hangs, with
 * nothing but its own folder to write to. Text only; `panelward unit` prints it.
 */

export interface UnitOptions {
  /** Whole paths. */
  node: string;
  program: string;
  boat: string;
  /** Null: /var/lib/panelward, which systemd makes. */
  data: string | null;
  /** An account that exists; null: systemd invents one for as long as panelward runs. */
  user: string | null;
  /** Whole path of a secrets file outside the data folder. */
  secrets: string | null;
  /** What else goes to `panelward run`: option names without dashes, and their values. */
  options: ReadonlyMap<string, string>;
}

/** The unit's text, or why there can be none, in one sentence. */
export function unitText(options: UnitOptions): string | { problem: string } {
  const problem = problemOf(options);
  if (problem !== undefined) return { problem };
  return [
    ...unitSection(options),
    '',
    ...serviceSection(options),
    ...PROTECTIONS,
    '',
    '[Install]',
    'WantedBy=multi-user.target',
    '',
  ].join('\n');
}

/** systemd hides these folders from the service. */
const HIDDEN = /^\/(?:home|root|tmp|var\/tmp|run\/user)(?:\/|$)/;

function problemOf({ node, program, boat, data, user, secrets }: UnitOptions): string | undefined {
  const paths = { Node: node, panelward: program, '--boat': boat, '--data': data };
  for (const [what, path] of Object.entries({ ...paths, '--secrets': secrets })) {
    if (path === null) continue;
    if (!path.startsWith('/')) return `${what} must be a whole path for a unit, got "${path}"`;
    if (HIDDEN.test(path) && what !== '--secrets') {
      return `${what} lies in ${path}, and the unit keeps that folder out of panelward's reach; /opt, /etc/panelward and /var/lib are good places`;
    }
  }
  if (data !== null && user === null) {
    return '--data needs --user in a unit: a folder outside /var/lib/panelward has an owner';
  }
  return user === null || ACCOUNT.test(user)
    ? undefined
    : `--user must be the name of an account, got "${user}"`;
}

/** Names that systemd takes for an account (systemd.io/USER_NAMES), the strict form. */
const ACCOUNT = /^[a-z_][a-z0-9_-]{0,30}$/;

function unitSection({ data }: UnitOptions): string[] {
  return [
    '[Unit]',
    'Description=panelward, which watches the electrical panel of a boat',
    // The network may be missing for days, and a boat wants watching then too.
    'After=network.target time-set.target',
    'Wants=time-set.target',
    // Never give up, however often it had to be started again.
    'StartLimitIntervalSec=0',
    ...(data === null ? [] : [`RequiresMountsFor=${data}`]),
  ];
}

function serviceSection({ node, program, boat, data, user, secrets, options }: UnitOptions) {
  const words = [node, program, 'run', '--boat', boat, '--data', data ?? '%S/panelward'];
  const given = [...options].flatMap(([name, value]) => [`--${name}`, value]);
  // %S stands for /var/lib and is the only % that is meant as one.
  const command = [...words, ...given].map((word) =>
    word === '%S/panelward' ? word : quoted(word),
  );
  return [
    '[Service]',
    'Type=notify',
    'NotifyAccess=all',
    'WatchdogSec=30',
    // A long record may want mending first.
    'TimeoutStartSec=10min',
    'TimeoutStopSec=30',
    `ExecStart=${command.join(' ')}`,
    'Restart=always',
    'RestartSec=2',
    ...(user === null ? ['DynamicUser=yes'] : [`User=${user}`, `Group=${user}`]),
    ...(data === null
      ? ['StateDirectory=panelward', 'StateDirectoryMode=0700']
      : [`ReadWritePaths=${data}`]),
    ...(secrets === null ? [] : [`LoadCredential=secrets.yaml:${secrets}`]),
    'Environment=NODE_ENV=production',
    'MemoryMax=512M',
    'TasksMax=128',
    'UMask=0077',
  ];
}

/** MemoryDenyWriteExecute is absent: V8 makes code at run time and does not start with it. */
const PROTECTIONS = [
  'NoNewPrivileges=yes',
  'CapabilityBoundingSet=',
  'AmbientCapabilities=',
  'ProtectSystem=strict',
  'ProtectHome=yes',
  'PrivateTmp=yes',
  'PrivateDevices=yes',
  'DevicePolicy=closed',
  'PrivateUsers=yes',
  'PrivateMounts=yes',
  'ProtectProc=invisible',
  'ProtectKernelTunables=yes',
  'ProtectKernelModules=yes',
  'ProtectKernelLogs=yes',
  'ProtectControlGroups=yes',
  'ProtectClock=yes',
  'ProtectHostname=yes',
  'RestrictNamespaces=yes',
  'RestrictRealtime=yes',
  'RestrictSUIDSGID=yes',
  'LockPersonality=yes',
  'RemoveIPC=yes',
  'KeyringMode=private',
  'RestrictAddressFamilies=AF_INET AF_INET6 AF_UNIX AF_NETLINK',
  'SystemCallArchitectures=native',
  'SystemCallFilter=@system-service',
  'SystemCallFilter=~@privileged @resources @mount',
  // Refused, not killed: Node asks for more file handles at its start and can do without.
  'SystemCallErrorNumber=EPERM',
];

/** One word of a command line, systemd.service(5): $ and % doubled, the rest in quotes where needed. */
function quoted(word: string): string {
  const escaped = word.replaceAll('%', '%%').replaceAll('$', '$$$$');
  if (/^[\w./:@,+=%$[\]-]+$/.test(escaped)) return escaped;
  return `"${escaped.replaceAll(/["\\]/g, String.raw`\$&`)}"`;
}
