#!/usr/bin/env bash
# Runs every test of Endpost: format, lints, the suite with its browser, the examples in the docs.
# On Debian it installs what is missing; elsewhere it says what to install. Needs Rust's cargo.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

AXE=axe-core@4.14.1
AXE_FILE=axe-core-4.14.1.tgz
AXE_SHA256=e6b0ce02b84d892e2e33e403485e7f3d6c29e2be6df65daf44d89ba564139745

step() { printf '\n== %s\n' "$*"; }
has() { command -v "$1" >/dev/null 2>&1; }

has_font() { has fc-list && [[ $(fc-list) == *"$1"* ]]; }

need_cargo() {
    if ! has cargo; then
        echo "cargo is not here. Install Rust by rustup, or from your system's packages, then run this again." >&2
        exit 1
    fi
    for part in fmt clippy; do
        if ! cargo "$part" --version >/dev/null 2>&1; then
            echo "cargo $part is not here. With rustup: rustup component add rustfmt clippy" >&2
            exit 1
        fi
    done
}

# The tools that are missing, as Debian names their packages.
missing_packages() {
    has chromium || has chromium-browser || has google-chrome || echo chromium
    has chromedriver || echo chromium-driver
    has pdftotext || echo poppler-utils
    has npm || echo npm
    has fc-list || echo fontconfig
    has cc || echo gcc libc6-dev
    has sha256sum || echo coreutils
    has prlimit || echo util-linux
    # The paper tests count pages: the fonts that the style sheets fall back to must be there.
    has_font "Liberation Sans" || echo fonts-liberation
    has_font "DejaVu Sans" || echo fonts-dejavu-core
}

need_tools() {
    local missing as_root=""
    missing=$(missing_packages | xargs)
    [ -z "$missing" ] && return
    if ! has apt-get; then
        echo "The browser and paper tests need, by Debian's names: $missing" >&2
        echo "Install them under the names your system has for them, then run this again." >&2
        exit 1
    fi
    [ "$(id -u)" -eq 0 ] || as_root=sudo
    step "Installing $missing"
    $as_root apt-get update -qq
    # shellcheck disable=SC2086 # The list is meant to be split.
    DEBIAN_FRONTEND=noninteractive $as_root apt-get install -y -qq --no-install-recommends $missing
}

# axe-core is fetched once, checked, and kept with what is built; it is never committed.
need_axe() {
    local folder="${CARGO_TARGET_DIR:-target}/axe"
    mkdir -p "$folder"
    if ! echo "$AXE_SHA256  $folder/$AXE_FILE" | sha256sum --check --status 2>/dev/null; then
        step "Fetching $AXE"
        npm pack --silent --pack-destination "$folder" "$AXE"
        if ! echo "$AXE_SHA256  $folder/$AXE_FILE" | sha256sum --check --status; then
            rm -f "$folder/$AXE_FILE"
            echo "$AXE is not the file this project knows: its SHA-256 differs. Nothing of it is used." >&2
            exit 1
        fi
    fi
    rm -rf "$folder/package"
    tar -xzf "$folder/$AXE_FILE" -C "$folder"
}

need_cargo
need_tools
need_axe

step "Format"
cargo fmt --check
step "Lints"
cargo clippy --locked --all-targets -- -D warnings
step "Tests"
cargo test --locked
