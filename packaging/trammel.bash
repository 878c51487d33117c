# Completion of trammel for bash. Where it offers nothing, bash offers file names.

# The options of a command, or of trammel itself.
_trammel_options() {
  case $1 in
    check) echo --design --scan --band --uncertainty --out --paper --prove --json ;;
    changes) echo --least --uncertainty --units --out --paper --json ;;
    square) echo --up --above --forward --origin --units --out --paper ;;
    lighten) echo --within --triangles --split --faces --units --out ;;
    '') echo --version ;;
  esac
  echo --help --quiet --threads
}

_trammel() {
  local commands='changes check lighten look square' word=${COMP_WORDS[COMP_CWORD]} command='' offers='' i
  for ((i = 1; i < COMP_CWORD; ++i)); do
    if [[ " $commands " == *" ${COMP_WORDS[i]} "* ]]; then command=${COMP_WORDS[i]}; break; fi
  done
  case ${COMP_WORDS[COMP_CWORD - 1]} in
    --units) offers='auto mm cm m in' ;;
    --json) offers='-' ;;
    --paper) offers='a4 letter' ;;
    --band | --uncertainty | --least | --within | --triangles | --threads | --up | --above | --forward | --origin)
      compopt +o default 2>/dev/null  # a number or a place, no file
      ;;
    *)
      if [[ $word == -* ]]; then
        offers=$(_trammel_options "$command")
      elif [[ -z $command ]]; then
        offers=$commands
        compopt +o default 2>/dev/null
      fi
      ;;
  esac
  mapfile -t COMPREPLY < <(compgen -W "$offers" -- "$word")
}

complete -o default -F _trammel trammel
