//! The `clavibeam` program: see [`clavibeam::cli`].

#[cfg(feature = "mimalloc")]
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    clavibeam::cli::run()
}
