# lib.sh - for the tests of the program: a folder of their own and what a command must say. Sourced.
#   expect STATUS COMMAND... <<lines    exit status and every line of standard error; a line that ends in * is a beginning
failed=0
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
here=$PWD

expect() {
  wanted_status=$1
  shift
  cat >"$work/.wanted"
  status=0
  "$@" >"$work/.stdout" 2>"$work/.stderr" || status=$?
  good=yes
  [ "$status" -eq "$wanted_status" ] || good=no
  [ "$(wc -l <"$work/.stderr")" -eq "$(wc -l <"$work/.wanted")" ] || good=no
  exec 3<"$work/.stderr"
  while IFS= read -r wanted; do
    IFS= read -r said <&3 || said=
    case $wanted in
    *\*) case $said in "${wanted%\*}"*) ;; *) good=no ;; esac ;;
    *) [ "$said" = "$wanted" ] || good=no ;;
    esac
  done <"$work/.wanted"
  exec 3<&-
  [ $good = yes ] && return
  failed=$((failed + 1))
  echo "FAILED: $*"
  echo "  wanted status $wanted_status and:"
  sed 's/^/    /' "$work/.wanted"
  echo "  got status $status and:"
  sed 's/^/    /' "$work/.stderr"
}

fail() {
  failed=$((failed + 1))
  echo "FAILED: $*"
}
