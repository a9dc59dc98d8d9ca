#!/usr/bin/env bash
# A start with every package there leaves apt alone, so that it works without a network; a missing one is an error.
set -euo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
shims=$(mktemp -d)
trap 'rm -r "$shims"' EXIT
for name in apt-get sudo; do
  printf '#!/bin/sh\necho "$0 $*" >> "%s/called"\nexit 100\n' "$shims" > "$shims/$name"
  chmod +x "$shims/$name"
done
export PATH="$shims:$PATH"
. "$root/app/packages.sh"

ensure_packages "${program_packages[@]}" > "$shims/said"
if [[ -e $shims/called ]]; then
  echo "apt was called although all is there: $(cat "$shims/called" "$shims/said")"
  exit 1
fi

if ensure_packages "${program_packages[@]}" no-package-of-this-name > /dev/null; then
  echo "a package that can't be had was taken for installed"
  exit 1
fi
[[ -e $shims/called ]] || { echo "apt wasn't asked for a missing package"; exit 1; }
