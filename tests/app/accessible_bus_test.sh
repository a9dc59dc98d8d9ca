#!/usr/bin/env bash
# What a screen reader gets: names of everything that takes the keyboard, and where Tab leads, over the bus of AT-SPI.
# accessible_bus_test.sh PROGRAM SESSION
set -euo pipefail
launcher=/usr/libexec/at-spi-bus-launcher
for needed in Xvfb xdotool dbus-run-session "$launcher"; do
  command -v "$needed" > /dev/null || { echo "$needed isn't here: the bus wasn't read"; exit 77; }
done
/usr/bin/python3 -c 'import pyatspi' 2> /dev/null || {
  echo "python3-pyatspi isn't here: the bus wasn't read"
  exit 77
}
home=$(mktemp -d)
Xvfb -displayfd 3 -screen 0 1280x800x24 3> "$home/display" > /dev/null 2>&1 &
server=$!
trap 'kill $server; rm -rf "$home"' EXIT
for _ in {1..50}; do [[ -s $home/display ]] && break; sleep 0.1; done
export DISPLAY=":$(< "$home/display")" HOME=$home XDG_CONFIG_HOME=$home/c XDG_DATA_HOME=$home/d XDG_RUNTIME_DIR=$home
export QT_QPA_PLATFORM=xcb QT_LINUX_ACCESSIBILITY_ALWAYS_ON=1
chmod 700 "$home"
cp "$2" "$home/session.tallyframe"
export PROGRAM=$1 READER=${BASH_SOURCE[0]%.sh}.py LAUNCHER=$launcher
timeout 120 dbus-run-session -- bash -c '
  "$LAUNCHER" --launch-immediately > /dev/null 2>&1 &
  "$PROGRAM" "$HOME/session.tallyframe" > /dev/null 2>&1 &
  program=$!
  /usr/bin/python3 "$READER" && read=0 || read=$?
  kill -TERM $program
  wait $program
  exit $read'
