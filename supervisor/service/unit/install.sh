#!/bin/sh
# Puts spyhole onto a Raspberry Pi, or another machine with Debian, as a service that starts with
# it. `./task install-pi` runs this. Every step may be done again: what is there already stays, a
# configuration is never touched, the record neither, and nothing is removed but leave to open pins.
set -eu

CHECKOUT=$(cd "$(dirname "$0")/../../.." && pwd)
UNIT=$CHECKOUT/supervisor/service/unit/spyhole.service
PLAIN_PINS=$CHECKOUT/supervisor/service/unit/plain-pins.conf
ROOT=
DRY_RUN=
SETUP_OPTIONS=
NOTIFY=

usage() {
    cat <<'HELP'
usage: ./task install-pi [--dry-run] [--defaults] [--notify] [--root DIR]

Run as root on Raspberry Pi OS (64-bit) or Debian. Makes the user spyhole, installs this checkout
into /opt/spyhole, asks for /etc/spyhole/spyhole.toml where there is none, and starts the service.
Run again, it brings a newer checkout into use; a firing that is going on goes on.

  --dry-run    print each step and change nothing
  --defaults   ask nothing: a new configuration is the one of `spyhole setup --defaults`
  --notify     install Apprise too, for addresses under [notify]; without it that is done
               where the configuration names some
  --root DIR   install into DIR in place of /, for an image that is not running
HELP
}

say() { printf '%s\n' "$*"; }

refuse() {
    printf 'install-pi: %s\n' "$*" >&2
    exit 1
}

# run WORDS...: shows a step and does it.
run() {
    say "+ $*"
    [ -n "$DRY_RUN" ] || "$@"
}

while [ $# -gt 0 ]; do
    case $1 in
    --dry-run) DRY_RUN=yes ;;
    --defaults) SETUP_OPTIONS=--defaults ;;
    --notify) NOTIFY=yes ;;
    --root)
        { [ $# -gt 1 ] && [ -d "$2" ]; } || refuse "--root wants a folder"
        ROOT=$(cd "$2" && pwd)
        [ "$ROOT" != / ] || ROOT=
        shift
        ;;
    --help | -h)
        usage
        exit 0
        ;;
    *)
        usage >&2
        exit 2
        ;;
    esac
    shift
done

VENV=$ROOT/opt/spyhole
CONFIG=$ROOT/etc/spyhole/spyhole.toml
SYSTEM=$ROOT/etc/systemd/system

# has FILE NAME: whether the file of users or groups knows the name.
has() { [ -r "$ROOT/etc/$1" ] && grep -q "^$2:" "$ROOT/etc/$1"; }

can_run() { "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11) or sys.maxsize < 2**32)' 2>/dev/null; }

packages() {
    if can_run python3 && python3 -c 'import ensurepip, venv' 2>/dev/null; then
        return 0
    fi
    if command -v apt-get >/dev/null 2>&1; then
        run apt-get update -qq
        run env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends \
            python3 python3-venv
    fi
    [ -n "$DRY_RUN" ] || can_run python3 ||
        refuse "spyhole needs Python 3.11 or newer on a 64-bit system"
}

group() { has group "$1" || run groupadd ${ROOT:+--prefix "$ROOT"} --system "$1"; }

# The unprivileged user that reads the thermocouples, and the group that owns the bus.
user() {
    group spi
    has passwd spyhole || run useradd ${ROOT:+--prefix "$ROOT"} --system --user-group \
        --home-dir /var/lib/spyhole --no-create-home --shell /usr/sbin/nologin spyhole
}

# The exact versions of the lock file, then this checkout.
program() {
    if ! can_run "$VENV/bin/python"; then
        # Also after a new Debian has brought another Python.
        run python3 -m venv --clear "$VENV"
    fi
    run "$VENV/bin/python" -m pip install --quiet --disable-pip-version-check --require-hashes \
        -r "$CHECKOUT/requirements.lock"
    run "$VENV/bin/python" -m pip install --quiet --disable-pip-version-check --no-deps \
        --force-reinstall "$CHECKOUT"
    run install -D -m 644 "$CHECKOUT/README.md" "$VENV/share/doc/spyhole/README.md"
    run install -d -m 755 "$ROOT/usr/local/bin"
    run ln -sfn /opt/spyhole/bin/spyhole "$ROOT/usr/local/bin/spyhole"
}

# The folder of the record, the service's own.
record() {
    [ -d "$ROOT/var/lib/spyhole" ] && return 0
    run install -d -m 750 "$ROOT/var/lib/spyhole"
    ids=$(sed -n 's/^spyhole:[^:]*:\([0-9]*\):\([0-9]*\):.*/\1:\2/p' "$ROOT/etc/passwd")
    run chown "${ids:-spyhole:spyhole}" "$ROOT/var/lib/spyhole"
}

# A configuration only where there is none; its owner alone changes it, the service reads it.
configuration() {
    run install -d -m 755 "$ROOT/etc/spyhole"
    if [ -e "$CONFIG" ]; then
        say "The configuration stays as it is: $CONFIG"
        return 0
    fi
    [ -t 0 ] || SETUP_OPTIONS=--defaults
    # The PIN that it asks for goes beside the record, and is the service's to read.
    record
    # shellcheck disable=SC2086 # no option is no word
    run "$VENV/bin/python" -m supervisor setup $SETUP_OPTIONS --out "$CONFIG" \
        --data "$ROOT/var/lib/spyhole" ||
        refuse "there is no configuration yet; run this again when you are ready to answer"
    if [ -n "$DRY_RUN" ]; then
        group=spyhole
    else
        group=$(sed -n 's/^spyhole:[^:]*:\([0-9]*\):.*/\1/p' "$ROOT/etc/group")
    fi
    run chown "0:$group" "$CONFIG"
    run chmod 640 "$CONFIG"
}

# has_addresses: whether the configuration names phones or mailboxes to be told.
has_addresses() {
    [ -r "$CONFIG" ] && python3 -c 'import sys, tomllib
notify = tomllib.load(open(sys.argv[1], "rb")).get("notify", {})
sys.exit(not (notify.get("urls") or notify.get("escalate_urls")))' "$CONFIG" 2>/dev/null
}

# Apprise for the addresses under [notify], in the exact versions of its lock file. Where it can't
# be had the kiln is watched all the same, and the service says whom no alert reaches.
letters() {
    [ -n "$NOTIFY" ] || has_addresses || return 0
    run "$VENV/bin/python" -m pip install --quiet --disable-pip-version-check --require-hashes \
        -r "$CHECKOUT/requirements-notify.lock" ||
        say "Apprise could not be installed: no alert reaches the addresses under [notify] until it is. Run this again."
}

# header_chip: the GPIO chip that has the header's pins, by its name in the device tree.
header_chip() {
    for chip in "$ROOT"/sys/bus/gpio/devices/gpiochip*; do
        [ -r "$chip/of_node/compatible" ] || continue
        if tr '\0' '\n' <"$chip/of_node/compatible" |
            grep -qx -e 'brcm,bcm2835-gpio' -e 'brcm,bcm2711-gpio' -e 'raspberrypi,rp1-gpio'; then
            basename "$chip"
            return 0
        fi
    done
}

# plain_pins: the chip selects of the configuration that are plain pins, if there are any.
plain_pins() {
    [ -r "$CONFIG" ] || return 0
    python3 -c 'import re, sys, tomllib
sensors = tomllib.load(open(sys.argv[1], "rb")).get("sensor", [])
selects = [str(sensor.get("chip_select", "CE0")).strip() for sensor in sensors]
print(*(s for s in selects if not re.fullmatch("CE[0-9]+", s, re.IGNORECASE)))' "$CONFIG" 2>/dev/null ||
        say unknown
}

unit() {
    run install -D -m 644 "$UNIT" "$SYSTEM/spyhole.service"
    dropin=$SYSTEM/spyhole.service.d/plain-pins.conf
    pins=$(plain_pins)
    if [ "$pins" = unknown ]; then
        say "The configuration can't be read, so which pins the service may open stays as it is."
    elif [ -n "$pins" ]; then
        chip=$(header_chip)
        say "Chip selects that are plain pins: $pins. So the service may open ${chip:-gpiochip0}, and"
        say "with it any pin of the header; with CE0 and CE1 alone it could open none."
        group gpio
        draft=$(mktemp)
        sed "s:^\(DeviceAllow=/dev/\)gpiochip0:\1${chip:-gpiochip0}:" "$PLAIN_PINS" >"$draft"
        run install -D -m 644 "$draft" "$dropin"
        rm -f "$draft"
    elif [ -e "$dropin" ]; then
        say "No chip select is a plain pin any more, so the service may open none."
        run rm -f "$dropin"
    fi
}

start() {
    if [ -n "$ROOT" ]; then
        run systemctl --root="$ROOT" enable spyhole.service
        say "It starts when the system in $ROOT does."
        return 0
    fi
    run systemctl daemon-reload
    run systemctl enable spyhole.service
    if ! ls /dev/spidev* >/dev/null 2>&1; then
        say "There is no SPI bus yet, so nothing is started. Switch it on and start again:"
        say "  sudo raspi-config nonint do_spi 0 && sudo reboot"
        return 0
    fi
    # Also where it runs already: it must not mix the files of two versions.
    run systemctl --no-block restart spyhole.service
    say "It starts. How it stands: systemctl status spyhole; what it says: journalctl -u spyhole -f"
    say "Afterwards: sudo -u spyhole spyhole log --data /var/lib/spyhole"
}

[ -n "$DRY_RUN" ] || [ "$(id -u)" = 0 ] || refuse "this needs root: sudo ./task install-pi"
# No step may depend on where the checkout's owner has hidden it.
umask 022
cd /
packages
user
program
configuration
letters
unit
start
