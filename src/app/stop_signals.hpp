#pragma once

namespace trammel::app {

/// From here on a run that is stopped (Ctrl-C, a closed terminal, kill) takes away what it has
/// half-written before it ends by that signal, at once. To be called before any thread is begun.
/// A signal that whoever started the program lets it ignore stays ignored.
void answer_stop_signals();

}  // namespace trammel::app
