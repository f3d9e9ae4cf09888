//! The `clavibeam` program: see [`clavibeam::cli`].

fn main() -> std::process::ExitCode {
    clavibeam::cli::run()
}
