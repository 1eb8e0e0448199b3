//! How a command ends when it does not end well.
//!
//! Input at fault ends with 2 and a sentence; our own fault ends with 1; being
//! stopped with Ctrl-C ends with 130, as shells expect.

use std::fmt;
use std::process::ExitCode;

use lapwing_job::record::InputError;
use lapwing_store::FolderError;

/// Why a command stopped.
#[derive(Debug)]
pub(crate) enum Failure {
    /// The input cannot be used.
    Input(String),
    /// Something of ours broke.
    Ours(String),
    /// The user stopped it.
    Stopped,
}

impl Failure {
    pub(crate) fn code(&self) -> ExitCode {
        match self {
            Self::Input(_) => ExitCode::from(2),
            Self::Ours(_) => ExitCode::from(1),
            Self::Stopped => ExitCode::from(130),
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Input(sentence) => f.write_str(sentence),
            Self::Ours(sentence) => write!(f, "This is our fault, not yours: {sentence}"),
            Self::Stopped => f.write_str("Stopped, as asked; nothing was written."),
        }
    }
}

impl From<InputError> for Failure {
    fn from(error: InputError) -> Self {
        Self::Input(error.to_string())
    }
}

impl From<FolderError> for Failure {
    fn from(error: FolderError) -> Self {
        Self::Input(error.to_string())
    }
}

impl From<lapwing_sheet::SheetError> for Failure {
    fn from(error: lapwing_sheet::SheetError) -> Self {
        Self::Ours(error.to_string())
    }
}
