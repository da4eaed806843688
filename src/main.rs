//! The command line program; all of it is in the library's `cli`.

fn main() -> std::process::ExitCode {
    slabseason::cli::main()
}
