//! The command line: one file a command.

mod error;
mod schema;
mod solve;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// Compares ways of fixing a broken collarbone with a 3D beam finite-element model.
///
/// It informs a decision; it never makes one. It is not a medical device.
#[derive(Parser)]
#[command(
    name = "clavibeam",
    version,
    after_help = "exit codes: 0 done, 2 command line or file at fault, 3 the frame cannot be \
                  solved, 1 any other failure"
)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    Solve(solve::Arguments),
    Schema(schema::Arguments),
}

/// Runs the program.
pub fn run() -> ExitCode {
    let done = match Arguments::parse().command {
        Command::Solve(arguments) => solve::run(&arguments),
        Command::Schema(arguments) => schema::run(&arguments),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error}");
            error.exit_code()
        }
    }
}
