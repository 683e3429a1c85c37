# bash completion for earshot
_earshot() {
  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]} command=${COMP_WORDS[1]}
  local common="--models-from --threads --memory --quiet --help"
  COMPREPLY=()
  case $before in
  --output | -o | --models-from)
    mapfile -t COMPREPLY < <(compgen -d -- "$word")
    return
    ;;
  esac
  if [ "$COMP_CWORD" -eq 1 ]; then
    mapfile -t COMPREPLY < <(compgen -W "run check path profile models --help --version" -- "$word")
    return
  fi
  if [[ $word == -* ]]; then
    case $command in
    run) common="--output $common" ;;
    path) common="--json --scenario $common" ;;
    profile) common="--json $common" ;;
    esac
    mapfile -t COMPREPLY < <(compgen -W "$common" -- "$word")
    return
  fi
  case $command in
  models) mapfile -t COMPREPLY < <(compgen -W "$(earshot models --quiet 2>/dev/null | awk 'NR > 1 {print $1}')" -- "$word") ;;
  *) mapfile -t COMPREPLY < <(compgen -f -X '!*.yaml' -- "$word" && compgen -d -- "$word") ;;
  esac
}
complete -o filenames -F _earshot earshot
