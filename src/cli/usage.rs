//! What is said to a command line that asks for help, or is none.

use std::io::{Write, stdout};
use std::process::ExitCode;

use clap::error::{ContextKind, ContextValue};

use super::exit::{FAILED, Out, WRONG_INPUT, say_wrong};

/// Longer words are cut when they are repeated.
const MOST_SHOWN: usize = 40;

/// Prints what the command line comes to instead of a command, and gives the exit
/// code.
pub fn answer(error: clap::Error) -> ExitCode {
    if error.use_stderr() {
        // If standard error is gone there is nobody left to tell.
        let _ = short(error).print();
        return ExitCode::from(WRONG_INPUT);
    }
    match error.print().and_then(|()| stdout().flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            say_wrong(&Out::named(&error).to_string());
            ExitCode::from(FAILED)
        }
        _ => ExitCode::SUCCESS,
    }
}

/// The error with long words cut, and without advice that repeats them.
pub(super) fn short(mut error: clap::Error) -> clap::Error {
    const TYPED: [ContextKind; 4] = [
        ContextKind::InvalidValue,
        ContextKind::InvalidArg,
        ContextKind::InvalidSubcommand,
        ContextKind::SuggestedArg,
    ];
    for kind in TYPED {
        if let Some(ContextValue::String(word)) = error.get(kind)
            && let Some((end, _)) = word.char_indices().nth(MOST_SHOWN)
        {
            let cut = format!("{}\u{2026}", &word[..end]);
            error.insert(kind, ContextValue::String(cut));
            error.insert(ContextKind::Suggested, ContextValue::StyledStrs(Vec::new()));
        }
    }
    error
}
