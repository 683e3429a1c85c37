#!/bin/sh
# lint.sh [BUILD] - gcc -fanalyzer, clang-tidy and cppcheck over core/ and plugins/. By hand; the last line counts. Exceptions
# stand in this file and in tests/lint-known.txt, each with its reason.
set -eu
cd "$(dirname "$0")/.."
for tool in gcc clang-tidy cppcheck; do
  command -v "$tool" >/dev/null || {
    echo "$tool is not installed"
    exit 77
  }
done
build=${1:-build-lint}
findings=0

# told NAME FILE: what is left of a tool's words is a finding. Known ones (tests/lint-known.txt: file, check, reason) are not.
told() {
  sed -n 's/^\([^# ][^ ]*\) \([^ ]*\) .*/\1:.*\2/p' tests/lint-known.txt >"$build/known"
  grep -E '(warning|error|style|performance|portability):' "$2" | sort -u | grep -v -f "$build/known" >"$2.left" || true
  n=$(wc -l <"$2.left")
  findings=$((findings + n))
  echo "$1: $n findings"
  cat "$2.left"
}

# each LOG COMMAND...: what the command says of every source, as many at once as there are processors.
each() {
  log=$1
  shift
  rm -rf "$log.d"
  mkdir "$log.d"
  # shellcheck disable=SC2016 # for the inner shell
  echo "$sources" | xargs -P "$(nproc)" -I {} sh -c 'said=$1/$(echo "$2" | tr / -); shift 2; "$@" >"$said" 2>&1' sh \
    "$log.d" {} "$@" {} || true
  cat "$log.d"/* >"$log"
  [ "$(find "$log.d" -type f | wc -l)" -eq "$(echo "$sources" | wc -l)" ] || echo "error: not every source was looked at" >>"$log"
}

cmake -G Ninja -S . -B "$build" -DCMAKE_C_COMPILER=clang -DCMAKE_EXPORT_COMPILE_COMMANDS=ON -DES_TESTS=OFF >/dev/null
cmake --build "$build" --target earshot-core >/dev/null 2>&1 # makes the files that the build makes
sources=$(find core plugins -name '*.c' | sort)

# -fanalyzer of gcc 12: its file and descriptor checks lose track of a handle that is stored in a structure.
includes="-Icore -Icore/include -Iplugins $(pkg-config --cflags gdal proj libpng yaml-0.1 jansson pangocairo libxxhash)"
# shellcheck disable=SC2086
each "$build/analyzer.log" gcc -std=gnu11 -D_GNU_SOURCE '-DES_VERSION="x"' '-DES_LIBDIR="lib"' $includes -O1 -fanalyzer -c \
  -o /dev/null
told "gcc -fanalyzer" "$build/analyzer.log"

# Left out of clang-tidy, with the reason:
#   bugprone-easily-swappable-parameters  numbers beside numbers are what this program is made of; units stand in the names
#   bugprone-narrowing-conversions        -Wconversion -Werror says the same where it matters
#   bugprone-branch-clone                 a table of cases reads better with each case written out
#   bugprone-assignment-in-if-condition, bugprone-suspicious-include  not used against the house's style
#   clang-analyzer-security.insecureAPI.DeprecatedOrUnsafeBufferHandling  asks for Annex K, which glibc does not have
#   clang-analyzer-security.insecureAPI.strcpy  used where the room was measured the line before
#   clang-analyzer-optin.performance.Padding    structures are laid out for reading
#   clang-analyzer-security.FloatLoopCounter    drawing loops; a step more or less at the end is off the sheet
#   clang-analyzer-valist.Uninitialized         clang 14 does not see va_start() in the same function
#   bugprone-implicit-widening-of-multiplication-result  products of numbers below 1000
#   bugprone-integer-division             whole halves and steps are meant
#   bugprone-sizeof-expression, bugprone-suspicious-missing-comma, bugprone-misplaced-widening-cast,
#   bugprone-signed-char-misuse           looked at one by one: arrays of pointers, a long text, a count, a table of digits
checks='-*,bugprone-*,clang-analyzer-*,misc-redundant-expression,misc-misplaced-const
-bugprone-easily-swappable-parameters,-bugprone-narrowing-conversions,-bugprone-branch-clone
-bugprone-assignment-in-if-condition,-bugprone-suspicious-include
-clang-analyzer-security.insecureAPI.DeprecatedOrUnsafeBufferHandling,-clang-analyzer-security.insecureAPI.strcpy
-clang-analyzer-optin.performance.Padding,-clang-analyzer-security.FloatLoopCounter,-clang-analyzer-valist.Uninitialized
-bugprone-implicit-widening-of-multiplication-result,-bugprone-integer-division,-bugprone-sizeof-expression
-bugprone-suspicious-missing-comma,-bugprone-misplaced-widening-cast,-bugprone-signed-char-misuse'
checks=$(echo "$checks" | tr '\n' ',')
each "$build/tidy.log" clang-tidy -p "$build" --quiet --checks="${checks%,}"
told clang-tidy "$build/tidy.log"

# Left out of cppcheck: what it cannot see without the system's headers, and functions that only the tests or models call.
cppcheck --quiet --std=c11 --enable=warning,performance,portability --inline-suppr --suppress=missingIncludeSystem \
  --suppress=unknownMacro -Icore -Icore/include -Iplugins -D_GNU_SOURCE core plugins 2>"$build/cppcheck.log" || true
told cppcheck "$build/cppcheck.log"

echo "$findings findings"
[ "$findings" -eq 0 ]
