//! The command line.

/// Runs the program.
pub fn run() -> std::process::ExitCode {
    std::process::ExitCode::SUCCESS
}
