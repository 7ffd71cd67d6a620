//! The command line program: arguments in, calls to the library, an exit code out.

fn main() {}
