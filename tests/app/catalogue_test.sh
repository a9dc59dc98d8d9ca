#!/usr/bin/env bash
# Whoever translates gets every word under the name by which the window looks it up: else it would stay English.
set -euo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
lupdate=$(command -v lupdate /usr/lib/qt6/bin/lupdate | head -n 1) || {
  echo "lupdate (qt6-l10n-tools) isn't here: the catalogue wasn't made"
  exit 77
}
made=$(mktemp -d)
trap 'rm -r "$made"' EXIT
cd "$root"
"$lupdate" -silent -I . app ui core/session/configuration.cpp -ts "$made/words.ts" 2> "$made/said" ||
  { cat "$made/said"; exit 1; }
sed -n 's:.*<name>\(.*\)</name>.*:\1:p' "$made/words.ts" | sort -u > "$made/written"
# Classes look up under their full name, if moc knows them; what isn't in a class names its own.
{
  grep -rhoE 'translate\("[A-Za-z:]+"' app ui | cut -d'"' -f2
  grep -rhoE --include=*.h '^class [A-Za-z]+' ui | sed 's/class /ui::/'
} | sort -u > "$made/looked_up"
lost=$(comm -23 "$made/written" "$made/looked_up")
[[ -z $lost ]] || { echo "no one looks up what is written under:" $lost; exit 1; }
missing=$(comm -23 <(grep -rhoE 'translate\("[A-Za-z:]+"' app ui | cut -d'"' -f2 | sort -u) "$made/written")
[[ -z $missing ]] || { echo "looked up, but not in the catalogue:" $missing; exit 1; }
# Counts are texts that the catalogue has in every form of its language; both English forms stand in the text.
awk '/<message/ { counts = /numerus="yes"/ }
  /<source>/ { if (!counts && /%n|[a-z]\((e?s|[^ )]*\|[^)]*)\)/ || counts && !/%/) print }' "$made/words.ts" \
  > "$made/uncounted"
[[ ! -s $made/uncounted ]] || { echo "counts without forms:"; cat "$made/uncounted"; exit 1; }
grep -q 'numerus="yes"' "$made/words.ts"
# Pages are known by their English names and shown by these.
grep -rhoE 'Page::name\(\) const \{.*"[A-Z][a-z]+"\)' ui | grep -oE '"[A-Z][a-z]+"' | tr -d '"' | sort > "$made/pages"
awk '/<name>/ { page = /ui::Page</ } page && /<source>/' "$made/words.ts" | sed 's:.*<source>\(.*\)</source>.*:\1:' |
  sort > "$made/titles"
diff "$made/pages" "$made/titles"
[[ $(wc -l < "$made/pages") = 5 ]]
echo "$(grep -c '<source>' "$made/words.ts") texts under $(wc -l < "$made/written") names"
