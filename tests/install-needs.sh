#!/usr/bin/env bash
# Installs what the tests run beside Node (a browser, an outside MQTT broker, a circuit simulator,
# a C compiler for a disk that fails, the judge of systemd units) where it is missing and we may; otherwise says in one line what
# to install.
set -u
packages=()
[ -x "${CHROMIUM:-/usr/bin/chromium}" ] || packages+=(chromium)
{ command -v mosquitto || [ -x /usr/sbin/mosquitto ]; } >/dev/null 2>&1 || packages+=(mosquitto)
command -v mosquitto_pub >/dev/null 2>&1 || packages+=(mosquitto-clients)
command -v ngspice >/dev/null 2>&1 || packages+=(ngspice)
command -v cc >/dev/null 2>&1 || packages+=(gcc libc6-dev)
command -v systemd-analyze >/dev/null 2>&1 || packages+=(systemd)
[ ${#packages[@]} -eq 0 ] && exit 0
if [ "$(id -u)" -eq 0 ] && command -v apt-get >/dev/null 2>&1; then
  echo "Installing for the tests: ${packages[*]}"
  if (apt-get update && DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends "${packages[@]}") >/dev/null 2>&1; then
    exit 0
  fi
fi
echo "The tests need: sudo apt-get install ${packages[*]}" >&2
exit 1
