//! The `witnessmark` program: a shim over the library.

fn main() -> std::process::ExitCode {
    witnessmark::cli::main()
}
