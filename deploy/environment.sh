# Shared by deploy/demo, deploy/test and deploy/lock: find a Python, make the virtual environment, install what is pinned.
# It is read by bash, not run. Everything it makes lies in .venv (or in $SENTINEL_VENV); nothing else is touched.

root=$(cd -- "$(dirname -- "${BASH_SOURCE[0]}")/.." && pwd)
venv=${SENTINEL_VENV:-$root/.venv}
export PIP_DISABLE_PIP_VERSION_CHECK=1

say() { printf "%s\n" "$@" >&2; }

give_up() {
    say "$@"
    exit 1
}

# A Python of 3.11 or newer, the one named by $SENTINEL_PYTHON first; it is tried, not judged by its name.
find_python() {
    local name found
    for name in ${SENTINEL_PYTHON:+"$SENTINEL_PYTHON"} python3 python3.14 python3.13 python3.12 python3.11 python; do
        found=$(command -v "$name") || continue
        "$found" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1 || continue
        printf '%s\n' "$found"
        return
    done
    give_up "Sentinel needs Python 3.11 or newer, and none was found on this machine." \
        "Install one (Debian and Ubuntu: sudo apt install python3 python3-venv), or name it: SENTINEL_PYTHON=/path/to/python3.12"
}

# What an installation depends on; when it is the same as at the last installation, nothing is done.
wanted() {
    {
        printf '%s\n' "$root" "$("$venv/bin/python" -c 'import sys; print(sys.version)')"
        cat -- "$root/pyproject.toml" "$1"
    } | "$venv/bin/python" -c 'import hashlib, sys; print(hashlib.sha256(sys.stdin.buffer.read()).hexdigest())'
}

make_venv() {
    if "$venv/bin/python" -m pip --version >/dev/null 2>&1; then
        return
    fi
    if [ -e "$venv" ] && [ ! -e "$venv/pyvenv.cfg" ] && [ -n "$(ls -A -- "$venv" 2>/dev/null)" ]; then
        give_up "$venv is there and is no virtual environment; take it away or set SENTINEL_VENV to another folder."
    fi
    local python
    python=$(find_python) || exit 1
    if ! "$python" -c 'import venv, ensurepip' >/dev/null 2>&1; then
        give_up "$python cannot make virtual environments: its module venv is missing." \
            "Install it (Debian and Ubuntu: sudo apt install python3-venv), then run this again."
    fi
    say "Making a virtual environment in $venv with $("$python" --version) ..."
    "$python" -m venv --clear -- "$venv" || give_up "The virtual environment could not be made; the reason is above."
}

# pip, silent unless it fails.
pip_install() {
    local said
    said=$("$venv/bin/python" -m pip install "$@" 2>&1) && return
    give_up "$said" "" "The installation failed; the reason is above. Is there a way to the package registry from here?"
}

# install NAME [NAME ...]: sentinel itself from this checkout, and the pinned packages of deploy/NAME.txt; nothing is done
# if those of any of the lists are there.
install() {
    make_venv
    local name now stamp
    for name in "$@"; do
        stamp=$venv/installed-$name
        if [ -e "$stamp" ] && [ "$(cat -- "$stamp")" = "$(wanted "$root/deploy/$name.txt")" ]; then
            return
        fi
    done
    name=$1
    say "Installing the pinned packages of deploy/$name.txt; the first time this takes about a minute ..."
    rm -f -- "$venv"/installed-*
    pip_install --require-hashes --requirement "$root/deploy/$name.txt"
    pip_install --no-deps --no-build-isolation --editable "$root"
    now=$(wanted "$root/deploy/$name.txt")
    printf '%s\n' "$now" >"$venv/installed-$name"
}
