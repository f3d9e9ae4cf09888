//! The command line: one file a command.

mod check;
mod compare;
mod error;
mod gather;
mod handcalc;
mod kind;
mod new;
mod schema;
mod sensitivity;
mod solve;
mod sweep;

use std::io::Write;
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
                  solved, 1 any other failure, a check that fails, or a limit missed with --fail-on-limit"
)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    Compare(compare::Arguments),
    Solve(solve::Arguments),
    Handcalc(handcalc::Arguments),
    Check(check::Arguments),
    Sweep(sweep::Arguments),
    Gather(gather::Arguments),
    Sensitivity(sensitivity::Arguments),
    New(new::Arguments),
    Schema(schema::Arguments),
}

/// Runs the program.
pub fn run() -> ExitCode {
    let done = match Arguments::parse().command {
        Command::Compare(arguments) => compare::run(&arguments),
        Command::Solve(arguments) => solve::run(&arguments).map(|()| ExitCode::SUCCESS),
        Command::Handcalc(arguments) => handcalc::run(&arguments).map(|()| ExitCode::SUCCESS),
        Command::Check(arguments) => check::run(&arguments),
        Command::Sweep(arguments) => sweep::run(&arguments).map(|()| ExitCode::SUCCESS),
        Command::Gather(arguments) => gather::run(&arguments).map(|()| ExitCode::SUCCESS),
        Command::Sensitivity(arguments) => sensitivity::run(&arguments).map(|()| ExitCode::SUCCESS),
        Command::New(arguments) => new::run(&arguments).map(|()| ExitCode::SUCCESS),
        Command::Schema(arguments) => schema::run(&arguments).map(|()| ExitCode::SUCCESS),
    };
    match done {
        Ok(code) => code,
        Err(error) => {
            // Nobody is left to tell if this cannot be written.
            let _ = writeln!(std::io::stderr(), "error: {error}");
            error.exit_code()
        }
    }
}
