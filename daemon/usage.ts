/** What `panelward --help` prints. */

export const DEFAULT_PORT = 8377;

export const USAGE = `panelward watches the electrical panel of a boat. It informs; it never switches.

Usage
  panelward demo [--scenario NAME] [--speed N] [--seed N] [--port N] [--data DIR]
  panelward run --boat FILE [--data DIR] [--port N] [--host ADDRESS]
                [--mqtt URL | --mqtt-port N --mqtt-host ADDRESS] [--marine-data URL]
                [--settings FILE]
  panelward check FILE... [--settings FILE]
  panelward sensor-token NAME
  panelward unit --boat FILE [--user NAME] [--secrets FILE] [options of run]
  panelward notify --test [--way ID] --boat FILE [--data DIR] [--settings FILE]
  panelward access list|sessions|code [--data DIR]
  panelward access add NAME [--role guest|crew|technician] [--data DIR]
  panelward access remove|password NAME [--data DIR]
  panelward access tokens [--data DIR]
  panelward access token|end-token NAME [--data DIR]
  panelward access audit [--check] [--data DIR]
  panelward tls [--name NAME]... [--anew] [--data DIR]
  panelward rehearse --boat FILE REHEARSAL...
  panelward history info|check [--data DIR]
  panelward backup FOLDER|FILE.tar [--data DIR]
  panelward restore FOLDER|FILE.tar [--data DIR]
  panelward export --boat FILE --from WHEN [--to WHEN] [--points ID,ID...] [--format csv|jsonl]
                   [--data DIR]
  panelward survey --boat FILE --from WHEN [--to WHEN] [--json] [--data DIR]
  panelward replay --boat FILE --from WHEN [--to WHEN] [--data DIR]
  panelward watch --data DIR [--settings FILE] [--port N] [--host ADDRESS]
  panelward --help | --version

Without a command: run, where --boat is given; else demo.

Options
  --boat FILE         the boat file (YAML)
  --data DIR          where history and alerts are kept
                      (run: ~/.local/state/panelward; demo: a folder that is gone afterwards)
  --settings FILE     what the people of the boat decide about panelward itself
                      (default: settings.yaml in the data folder, if there is one)
  --port N            port of the page (default ${DEFAULT_PORT}; 0 takes any free one)
  --host ADDRESS      address the page listens on (default 127.0.0.1, this machine only:
                      on any other, everybody has to sign in; see panelward access)
  --mqtt URL          take readings from this broker, e.g. mqtt://192.0.2.10:1883
  --mqtt-port N       port of the built-in broker
  --mqtt-host ADDRESS address the built-in broker listens on (default 127.0.0.1, this machine
                      only; on a network each sensor needs a name and a token, which
                      sensor-token makes)
  --marine-data URL   take readings from this open marine data server (ws:// or wss://)
  --scenario NAME     demo: play this; a wrong name lists them all
  --speed N           demo: so many times as fast as real time, 0.1 to 3600 (default 1)
  --seed N            demo: another seed, another day (default 1)
  --from, --to WHEN   a recorded span: 2026-08-01, 2026-08-01T14:30 (this computer's time zone, or
                      with Z or +02:00), 90min, 6h, 3d or 2w before now, now (the default of --to)
  --points ID,ID...   export: these points only
  --format csv|jsonl  export: CSV with units in its header (default), or a line of JSON a reading
  --json              survey: all figures, as JSON
  --role ROLE         access add: guest looks, crew acts (default), technician changes; the password
                      is asked for, or read from standard input
  --check             access audit: whether every entry is there and unchanged
  --name NAME         tls: a name or address of the page besides this computer's own
  --anew              tls: a new authority too, to be installed on the phones again
  --user NAME         unit: run as this account (default: one that systemd makes up)
  --test              notify: send a marked message by each way out, and say what came of it
  --way ID            notify: by this way only
  --secrets FILE      unit: a secrets file outside the data folder, which only root may read

Examples
  panelward demo
  panelward demo --scenario shore-lost-at-night --speed 10
  panelward check my-boat.yaml
  panelward run --boat my-boat.yaml --data /var/lib/panelward
  panelward sensor-token bow-clamps
  panelward unit --boat /etc/panelward/boat.yaml --user panelward
  panelward rehearse --boat my-boat.yaml my-limits.yaml
  panelward history info --data /var/lib/panelward
  panelward history check --data /var/lib/panelward
  panelward access add Ann --role technician --data /var/lib/panelward
  panelward tls --name panel.example.org --data /var/lib/panelward
  panelward backup /media/stick/panelward-may.tar --data /var/lib/panelward
  panelward restore /media/stick/panelward-may.tar --data /var/lib/panelward
  panelward export --boat my-boat.yaml --from 2026-08-01 --to 2026-09-01 > august.csv
  panelward survey --boat my-boat.yaml --from 2w
  panelward replay --boat my-boat.yaml --from 6h
  panelward watch --data /var/lib/panelward-ashore

Export, survey and replay may run beside panelward on the same folder. A replay puts recorded readings
through the rules of this boat file and prints the alerts of then and now beside each other.
Watch runs ashore: it hears the beats of boats and tells of their silence.
A backup is made while panelward runs, of all it keeps, and is read back before it counts. Restoring
needs panelward to be stopped; what was there is kept beside it.
`;
