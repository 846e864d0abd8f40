# Sourced by the scripts beside it: finds the tools, installs Debian packages by name, stops with a sentence.
# Nothing is ever skipped silently: a tool is there, gets installed, or the script stops and names it.

say() { printf '%s\n' "$*" >&2; }

stop() {
    say "$*"
    exit 1
}

# install_packages REASON PACKAGE...: by apt where that can work, else names them and stops.
apt_lists_are_fresh=no
install_packages() {
    local reason=$1
    shift
    if ! command -v apt-get >/dev/null 2>&1; then
        stop "$reason: please install the packages (Debian names): $*"
    fi
    if [ "$(id -u)" != 0 ]; then
        stop "$reason: please run as root: apt-get install $*"
    fi
    say "$reason: installing $*"
    if [ "$apt_lists_are_fresh" = no ]; then
        apt-get update -qq >&2 || stop "$reason: apt-get update failed, so $* could not be installed"
        apt_lists_are_fresh=yes
    fi
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@" >&2 ||
        stop "$reason: apt-get could not install $*"
}

# need_command COMMAND REASON PACKAGE...
need_command() {
    local command=$1 reason=$2
    shift 2
    command -v "$command" >/dev/null 2>&1 && return
    install_packages "$reason" "$@"
    command -v "$command" >/dev/null 2>&1 ||
        stop "$reason: $command is still missing after installing $*"
}

# at_least HAVE WANT: compares dotted versions.
at_least() { [ "$(printf '%s\n%s\n' "$2" "$1" | sort -V | head -n 1)" = "$2" ]; }

need_rust() {
    local want=1.95 have
    if ! command -v cargo >/dev/null 2>&1 && [ -x "$HOME/.cargo/bin/cargo" ]; then
        PATH="$HOME/.cargo/bin:$PATH"
    fi
    command -v cargo >/dev/null 2>&1 ||
        stop "Caddis is built with Rust $want, but there is no cargo here: please install Rust $want"
    have=$(cargo --version 2>/dev/null | cut -d ' ' -f 2) || true
    [ -n "$have" ] ||
        stop "cargo cannot start the toolchain that rust-toolchain.toml names: please install Rust $want"
    at_least "$have" "$want" || stop "Caddis needs Rust $want or newer, but cargo here is $have"
    need_command cc "the Rust linker needs a C compiler driver" gcc libc6-dev
}

need_node() {
    local reason="the page is built with Node, and the tests read open models from an npm package" want=20.19 have
    need_command node "$reason" nodejs npm
    need_command npm "$reason" npm
    have=$(node --version | tr -d v)
    at_least "$have" "$want" || stop "the page needs Node $want or newer, but node here is $have"
}

# Where cargo puts its output.
target_directory() { printf '%s' "${CARGO_TARGET_DIR:-$PWD/target}"; }

# .venv with the pinned second opinions of tests/oracle/requirements.txt.
need_python() {
    local wanted=tests/oracle/requirements.txt stamp=.venv/requirements.txt have
    need_command python3 "the oracle tests ask Python libraries for a second opinion" python3 python3-venv
    python3 -c 'import ensurepip, venv' >/dev/null 2>&1 ||
        install_packages "python3 cannot make a virtual environment" python3-venv
    have=$(python3 -c 'import sys; print("%d.%d" % sys.version_info[:2])')
    at_least "$have" 3.11 || stop "the oracle tests need Python 3.11 or newer, but python3 here is $have"
    if ! cmp -s "$wanted" "$stamp"; then
        say "Python environment of the oracle tests: .venv"
        rm -rf .venv
        python3 -m venv .venv || stop "python3 -m venv .venv failed"
        .venv/bin/python -m pip install --quiet --disable-pip-version-check -r "$wanted" >&2 ||
            stop "pip could not install $wanted into .venv"
        cp "$wanted" "$stamp"
    fi
    export CADDIS_PYTHON="$PWD/.venv/bin/python"
}

# The open models of tests/package-lock.json.
need_open_models() {
    local stamp=tests/node_modules/.caddis-lock.json
    need_node
    if ! cmp -s tests/package-lock.json "$stamp"; then
        say "open models of the tests: tests/node_modules"
        (cd tests && npm ci --silent --no-audit --no-fund --ignore-scripts >&2) || stop "npm ci failed in tests/"
        cp tests/package-lock.json "$stamp"
    fi
    export CADDIS_OPEN_MESHES="$PWD/tests/node_modules/@webxr-input-profiles/assets/dist/profiles"
    [ -d "$CADDIS_OPEN_MESHES" ] || stop "the npm package came without its models: $CADDIS_OPEN_MESHES"
}

# The spreadsheet program that computes the bill anew in the tests, without its windows. CADDIS_SOFFICE tells them where it is.
need_spreadsheet() {
    need_command soffice "the tests compute the bill's workbook anew" libreoffice-calc-nogui
    CADDIS_SOFFICE=$(command -v soffice)
    export CADDIS_SOFFICE
}

# rs274, the stand-alone interpreter of Debian's machine control package: unpacked below target, not installed, because its
# package would bring a desktop with it. CADDIS_RS274 and CADDIS_RS274_LIBRARIES tell the tests where it is.
need_rs274() {
    local folder boost packages missing
    folder="$(target_directory)/rs274"
    if command -v rs274 >/dev/null 2>&1; then
        CADDIS_RS274=$(command -v rs274)
        CADDIS_RS274_LIBRARIES=
    else
        if [ ! -x "$folder/root/usr/bin/rs274" ]; then
            say "the interpreter that reads machine programs in the tests: $folder"
            command -v apt-get >/dev/null 2>&1 ||
                stop "the tests read machine programs with rs274: please install the package linuxcnc-uspace (Debian name)"
            if [ "$apt_lists_are_fresh" = no ]; then
                apt-get update -qq >&2 || stop "apt-get update failed, so linuxcnc-uspace could not be fetched"
                apt_lists_are_fresh=yes
            fi
            boost=$(apt-cache depends linuxcnc-uspace | sed -n 's/.*Depends: \(libboost-python[0-9.]*\).*/\1/p' | head -n 1)
            packages=(linuxcnc-uspace ${boost:+"$boost"})
            rm -rf "$folder"
            mkdir -p "$folder"
            (cd "$folder" && apt-get download -qq "${packages[@]}" >&2) ||
                stop "apt-get could not fetch the packages ${packages[*]}, with which the tests read machine programs"
            local package
            for package in "$folder"/*.deb; do
                dpkg -x "$package" "$folder/root" || stop "dpkg could not unpack $package"
            done
        fi
        CADDIS_RS274="$folder/root/usr/bin/rs274"
        CADDIS_RS274_LIBRARIES="$folder/root/usr/lib:$(echo "$folder"/root/usr/lib/*-linux-gnu)"
    fi
    missing=$(LD_LIBRARY_PATH="$CADDIS_RS274_LIBRARIES" ldd "$CADDIS_RS274" | sed -n 's/^\t*\(.*\) => not found/\1/p')
    [ -z "$missing" ] || stop "rs274, which reads machine programs in the tests, misses libraries: $missing"
    export CADDIS_RS274 CADDIS_RS274_LIBRARIES
}

# caddis-step beside the program: reads STEP through the system's OpenCASCADE. A tree of its own, so that Caddis never waits
# for it; scripts/demo goes without where its packages are missing.
step_headers="${CADDIS_OPENCASCADE_INCLUDE:-/usr/include/opencascade}"

need_step() {
    local reason="STEP files are read through the system's OpenCASCADE" target
    if [ ! -f "$step_headers/STEPControl_Reader.hxx" ]; then
        install_packages "$reason" libocct-data-exchange-dev
        [ -f "$step_headers/STEPControl_Reader.hxx" ] ||
            stop "$reason: its headers are still not in $step_headers; set CADDIS_OPENCASCADE_INCLUDE to where they are"
    fi
    need_command c++ "the bridge to OpenCASCADE is C++" g++
    target=$(target_directory)
    cargo build --release --locked --quiet --manifest-path caddis-step/Cargo.toml --target-dir "$target/step" >&2 ||
        stop "caddis-step could not be built"
    mkdir -p "$target/release"
    cmp -s "$target/step/release/caddis-step" "$target/release/caddis-step" ||
        cp "$target/step/release/caddis-step" "$target/release/caddis-step"
}

# What the page is built from, as one hash.
page_sources() {
    find web/src web/public web/index.html web/vite.config.ts web/tsconfig.json web/package-lock.json -type f |
        LC_ALL=C sort | xargs sha256sum | sha256sum
}

# web/built/page, which the program embeds; built again only when its sources changed, so that cargo is not woken for
# nothing. To be called before cargo builds.
need_page() {
    local stamp=web/node_modules/.caddis-lock.json built=web/built/sources.sha256
    need_node
    if ! cmp -s web/package-lock.json "$stamp"; then
        say "packages of the page: web/node_modules"
        (cd web && npm ci --silent --no-audit --no-fund --ignore-scripts >&2) || stop "npm ci failed in web/"
        cp web/package-lock.json "$stamp"
    fi
    if [ ! -f web/built/page/index.html ] || [ "$(page_sources)" != "$(cat "$built" 2>/dev/null)" ]; then
        say "page: web/built/page"
        (cd web && npm run --silent build >&2) || stop "the page could not be built"
        page_sources >"$built"
    fi
}

# Types, lints, unit tests and the whole job in a real browser; needs CADDIS_BINARY.
test_page() {
    need_command chromium "the page is tested in a real browser" chromium
    CADDIS_CHROMIUM=$(command -v chromium)
    export CADDIS_CHROMIUM
    (cd web && npm run --silent check && npm run --silent test && npm run --silent browser) >&2
}

# The interface asked whatever its description allows, by schemathesis in an environment of its own: no server errors. Needs
# CADDIS_BINARY.
test_contract() {
    local wanted=tests/contract/requirements.txt place=.venv/contract stamp=.venv/contract/requirements.txt
    need_python
    if ! cmp -s "$wanted" "$stamp"; then
        say "the contract fuzzer: $place"
        rm -rf "$place"
        python3 -m venv "$place" || stop "python3 -m venv $place failed"
        "$place/bin/python" -m pip install --quiet --disable-pip-version-check -r "$wanted" >&2 ||
            stop "pip could not install $wanted into $place"
        cp "$wanted" "$stamp"
    fi
    "$place/bin/python" tests/contract/run.py >&2 || stop "the interface answered with a server error"
}
